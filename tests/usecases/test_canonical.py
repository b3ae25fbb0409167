"""Canonical JSON is what RFC 8785 and the package that reads it by the letter say."""

import json
import math
import struct
from typing import Any

import numpy as np
import pytest
import rfc8785
from hypothesis import example, given
from hypothesis import strategies as st

from wheelover.core.errors import UnreadableFile
from wheelover.formats.strict_json import read_json
from wheelover.usecases.canonical import canonical, json_bytes, sha256_of

_NUMBERS = (
    st.integers(-(2**53) + 1, 2**53 - 1)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.floats(-180.0, 180.0)
    | st.integers(-(10**6), 10**6).map(float)
    | st.sampled_from([0.0, -0.0, 1e-6, 1.5e-6, 9.9e-7, 1e-7, 1e16, 1e20, 1e21, -1e21, 5e-324])
)
_LOOKALIKES = st.sampled_from(
    ['"', "\\", '\\"', '\\\\"', ".0", ":1.0,", '":-0.0}', "1e5", "[1e-7]", "null", '",1e+16,"']
)
_TEXT = (
    st.text(max_size=6)
    | st.lists(_LOOKALIKES, max_size=4).map("".join)
    | st.text(st.sampled_from('a\U0001f600\ufb33\ue000\uffff\u20ac\x00\x1f\x7f"\\'), max_size=4)
)
VALUES = st.recursive(
    st.none() | st.booleans() | _NUMBERS | _TEXT,
    lambda inner: st.lists(inner, max_size=5) | st.dictionaries(_TEXT, inner, max_size=5),
    max_leaves=30,
)


@given(VALUES)
@example({"a": '\\"1.0,', "b": 1.0})
@example(["\\\\", 1e-7, '"', -0.0, "\\", [0.0]])
@example({"\U0001f600": 1, "\ufb33": 2})
def test_the_bytes_are_those_of_the_authority(value: Any) -> None:
    assert canonical(value) == rfc8785.dumps(value)


@given(VALUES)
def test_what_may_come_in_is_read_back_from_its_canonical_form(value: Any) -> None:
    try:
        read_json(json.dumps(value).encode())
    except UnreadableFile:
        return
    assert canonical(read_json(canonical(value))) == canonical(value)


@given(st.lists(st.floats(allow_nan=False, allow_infinity=False), min_size=200, max_size=400))
def test_many_numbers(numbers: list[float]) -> None:
    assert canonical(numbers) == rfc8785.dumps(numbers)


def test_numbers_of_every_size() -> None:
    draw = np.random.default_rng(8785)
    bits = draw.integers(0, 2**64, 20_000, dtype=np.uint64).view(np.float64)
    sizes = draw.uniform(-10.0, 10.0, 20_000) * 10.0 ** draw.integers(-12, 25, 20_000)
    whole = np.round(draw.uniform(-1e6, 1e6, 20_000)) * 10.0 ** draw.integers(-3, 18, 20_000)
    numbers = [x for x in np.concatenate([bits, sizes, whole]).tolist() if math.isfinite(x)]
    numbers += [10.0**power for power in range(-30, 31)]
    assert canonical(numbers) == rfc8785.dumps(numbers)


# RFC 8785, appendix B: the bits of a number and its text.
_APPENDIX_B = [
    ("0000000000000000", "0"),
    ("8000000000000000", "0"),
    ("0000000000000001", "5e-324"),
    ("8000000000000001", "-5e-324"),
    ("7fefffffffffffff", "1.7976931348623157e+308"),
    ("ffefffffffffffff", "-1.7976931348623157e+308"),
    ("4340000000000000", "9007199254740992"),
    ("c340000000000000", "-9007199254740992"),
    ("4430000000000000", "295147905179352830000"),
    ("44b52d02c7e14af5", "9.999999999999997e+22"),
    ("44b52d02c7e14af6", "1e+23"),
    ("44b52d02c7e14af7", "1.0000000000000001e+23"),
    ("444b1ae4d6e2ef4e", "999999999999999700000"),
    ("444b1ae4d6e2ef4f", "999999999999999900000"),
    ("444b1ae4d6e2ef50", "1e+21"),
    ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"),
    ("3eb0c6f7a0b5ed8d", "0.000001"),
    ("41b3de4355555553", "333333333.3333332"),
    ("41b3de4355555554", "333333333.33333325"),
    ("41b3de4355555555", "333333333.3333333"),
    ("41b3de4355555556", "333333333.3333334"),
    ("41b3de4355555557", "333333333.33333343"),
    ("becbf647612f3696", "-0.0000033333333333333333"),
    ("43143ff3c1cb0959", "1424953923781206.2"),
]


@pytest.mark.parametrize(("bits", "text"), _APPENDIX_B)
def test_numbers_of_appendix_b(bits: str, text: str) -> None:
    (number,) = struct.unpack(">d", bytes.fromhex(bits))
    assert canonical(number) == text.encode()
    assert canonical([number, "x", number]) == f'[{text},"x",{text}]'.encode()


def test_the_examples_of_the_rfc() -> None:
    # 3.2.2 and 3.2.4.
    given_text = rb"""{
      "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
      "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
      "literals": [null, true, false]
    }"""
    assert canonical(read_json(given_text)) == (
        b'{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
        b'"string":"\xe2\x82\xac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    )
    # 3.2.3: sorted by UTF-16.
    names = ["\u20ac", "\r", "\ufb33", "1", "\U0001f600", "\u0080", "\u00f6"]
    sorted_names = ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33"]
    assert list(read_json(canonical(dict.fromkeys(names, 1)))) == sorted_names


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 2**53, "\ud800", {1: 2}, {1, 2}])
@pytest.mark.parametrize("place", [lambda x: x, lambda x: [None, x], lambda x: {"a": {"b": [x]}}])
def test_what_is_no_json_has_no_bytes_and_no_digest(value: Any, place: Any) -> None:
    with pytest.raises(rfc8785.CanonicalizationError):
        canonical(place(value))
    with pytest.raises(rfc8785.CanonicalizationError):
        sha256_of(place(value))


@given(st.dictionaries(_TEXT, VALUES, max_size=4))
def test_a_document_is_read_back_as_it_was(document: dict[str, Any]) -> None:
    text = json_bytes(document)
    back = json.loads(text)  # noqa: TID251
    assert back == document
    assert list(back) == list(document)
    assert canonical(back) == canonical(document)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_an_undefined_number_leaves_in_no_document(value: float) -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        json_bytes({"a": None, "b": [1.5, {"c": value}]})
    with pytest.raises(ValueError, match="not JSON compliant"):
        json_bytes({"a": np.float64(value)})


def test_numbers_of_arrays_are_numbers() -> None:
    document = {"a": np.float64(1.5), "b": [None, np.float64(1e-5)]}
    assert json.loads(json_bytes(document)) == document  # noqa: TID251
    assert canonical(document) == rfc8785.dumps(document)


def test_half_a_surrogate_pair_leaves_in_no_document() -> None:
    with pytest.raises(ValueError, match="surrogates"):
        json_bytes({"a": "\ud800"})
