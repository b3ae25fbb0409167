"""What is refused of a JSON text, wherever in it it stands."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelover.core.errors import UnreadableFile
from wheelover.formats.strict_json import levels, read_json

_LEAVES = (
    st.none()
    | st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.floats(allow_nan=False, allow_infinity=False).filter(lambda x: not 2**53 <= abs(x) < 1e21)
    | st.text(max_size=5)
)
VALUES = st.recursive(
    _LEAVES,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=3), inner),
    max_leaves=15,
)


def _places(value: Any) -> list[tuple[Any, Any]]:
    """Return every container of a value with every name or number in it."""
    if not isinstance(value, dict | list):
        return []
    names = list(value) if isinstance(value, dict) else list(range(len(value)))
    inner = [place for name in names for place in _places(value[name])]
    return [(value, name) for name in names] + inner


def _count(value: Any) -> int:
    if isinstance(value, dict):
        return 1 + sum(map(_count, value.values()))
    return 1 + (sum(map(_count, value)) if isinstance(value, list) else 0)


@given(VALUES)
def test_sound_values_are_read_as_they_are(value: Any) -> None:
    assert read_json(json.dumps(value).encode()) == value
    assert sum(map(len, levels(value))) == _count(value)


_UNSOUND = ["1e999", "-1e999", str(2**53), str(-(2**53)), "9" * 400, "1e16", "-9.99e20"]


@given(VALUES, st.sampled_from(_UNSOUND), st.data())
def test_one_unsound_number_is_found_anywhere(value: Any, number: str, data: st.DataObject) -> None:
    whole = [value]
    holder, name = data.draw(st.sampled_from(_places(whole)))
    holder[name] = "the unsound one"
    text = json.dumps(whole).replace('"the unsound one"', number)
    with pytest.raises(UnreadableFile) as caught:
        read_json(text.encode())
    (fault,) = caught.value.faults
    here: Any = whole
    for step in (fault.pointer or "").split("/")[1:]:
        plain = step.replace("~1", "/").replace("~0", "~")
        here = here[int(plain)] if isinstance(here, list) else here[plain]
    assert here == "the unsound one"


@pytest.mark.parametrize(("open_", "close"), [("[", "]"), ('{"a":', "}")])
def test_nesting_ends_at_64(open_: str, close: str) -> None:
    assert read_json((open_ * 64 + "1" + close * 64).encode())
    for inner in ("1", "null", "[]"):
        with pytest.raises(UnreadableFile, match="nested deeper than 64"):
            read_json((open_ * 65 + inner + close * 65).encode())
