"""Nothing that differs is left out: every member of a revision is changed, one after another."""

import copy
import re
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.revision_documents import (
    GAT,
    SHIP,
    Document,
    frozen,
    leaves_of,
    parent_of,
    rich_request,
)
from wheelover.api import create_app
from wheelover.render.difference import differences

HEAD = {"/number", "/created_utc"}
"""What two revisions are called, not what is in them."""


@pytest.fixture(scope="module")
def document() -> Document:
    return frozen(create_app(), rich_request(), ship=SHIP, hazards=GAT)


def held(document: Document) -> Callable[[str], Document | None]:
    """Return what is held of hazard sets: the one that the document names."""
    (named,) = document["loaded"]["hazard_sets"]
    return {named["sha256"]: GAT}.get


def spoken_for(answer: Document, pointer: str) -> list[Document]:
    """Return the changes with a figure of a member, or of what it stands in."""
    return [
        one
        for one in answer["changes"]
        for figure in one["figures"]
        if (pointer == figure["pointer"] or pointer.startswith(figure["pointer"] + "/"))
        and figure["was"] != figure["now"]
    ]


def assert_told(was: Document, now: Document, pointer: str) -> None:
    answer = differences(was, now, held(was))
    found = spoken_for(answer, pointer)
    assert found, (pointer, [one["sentence"] for one in answer["changes"]])
    ids = [one["id"] for one in answer["changes"]]
    assert len(set(ids)) == len(ids)
    for one in answer["changes"]:
        assert one["sentence"]
        alike = re.search(r"\bwas (.+?), now (.+)$", one["sentence"])
        assert alike is None or alike[1] != alike[2], one["sentence"]


def donors(document: Document) -> dict[str, Any]:
    """Return a value of each member that is not null somewhere, to put where it is null."""
    found: dict[str, Any] = {}

    def look(value: Any, of: str) -> None:
        if isinstance(value, dict):
            for member, one in value.items():
                if one is not None and one != []:
                    found.setdefault(f"{of}/{member}", one)
                look(one, member)
        elif isinstance(value, list):
            for one in value:
                look(one, of)

    look(document, "")
    return found


def other(value: Any, member: str, known: dict[str, Any]) -> Any:
    """Return another value of the same kind."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + 1
    if isinstance(value, float):
        return value + 0.0078125
    if isinstance(value, str):
        return f"{value} other"
    if value is None:
        return known.get(member, 1.25)
    return [*value, 1.25] if isinstance(value, list) else {"more": 1.25}


def shape(pointer: str) -> str:
    """Return a pointer without its numbers: members of one kind have one shape."""
    return re.sub(r"/\d+", "/#", pointer)


def chosen(document: Document, pytestconfig: pytest.Config) -> list[tuple[str, Any]]:
    """Return every leaf; in the short form the first and last of each shape."""
    every = [one for one in leaves_of(document) if one[0] not in HEAD]
    if pytestconfig.getoption("--long"):
        return every
    last = {shape(pointer): (pointer, value) for pointer, value in every}
    first = {shape(pointer): (pointer, value) for pointer, value in reversed(every)}
    return list({**dict(first.values()), **dict(last.values())}.items())


def test_every_member_that_differs_is_told(document: Document, pytestconfig: pytest.Config) -> None:
    known = donors(document)
    leaves = chosen(document, pytestconfig)
    assert len(leaves) > 400
    for pointer, value in leaves:
        now = copy.deepcopy(document)
        here, last = parent_of(now, pointer)
        named = [one for one in pointer.split("/") if not one.isdigit()]
        here[last] = other(value, "/".join(named[-2:]), known)
        assert_told(document, now, pointer)
        assert_told(now, document, pointer)


def test_several_members_that_differ_are_all_told(document: Document) -> None:
    """Drawings of what changed are only counted, and what an answer repeats is told once."""
    repeated = {"/result/name", "/result/demonstration", "/result/inputs_sha256", "/inputs_sha256"}
    leaves = [
        one
        for one in leaves_of(document)
        if one[0] not in HEAD | repeated and not one[0].startswith("/result/layers")
    ]
    known = donors(document)

    @given(numbers=st.lists(st.integers(0, len(leaves) - 1), min_size=2, max_size=8, unique=True))
    def hold(numbers: list[int]) -> None:
        now = copy.deepcopy(document)
        for pointer, value in (leaves[one] for one in numbers):
            here, last = parent_of(now, pointer)
            named = [one for one in pointer.split("/") if not one.isdigit()]
            here[last] = other(value, "/".join(named[-2:]), known)
        answer = differences(document, now, held(document))
        for pointer, _ in (leaves[one] for one in numbers):
            assert spoken_for(answer, pointer), pointer

    hold()


def test_every_member_that_is_new_or_gone_is_told(document: Document) -> None:
    """Of every object in a revision: a member that no version of today knows."""
    seen = set()
    for pointer, _ in leaves_of(document):
        steps = pointer.split("/")
        for end in range(1, len(steps)):
            at = "/".join(steps[:end])
            if shape(at) in seen:
                continue
            seen.add(shape(at))
            now = copy.deepcopy(document)
            here = now
            if at:
                parent, last = parent_of(now, at)
                here = parent[last]
            if isinstance(here, dict):
                here["new_of_tomorrow"] = 7.5
                assert_told(document, now, f"{at}/new_of_tomorrow")
                assert_told(now, document, f"{at}/new_of_tomorrow")
    assert len(seen) > 60


def test_every_row_that_goes_is_told(document: Document) -> None:
    seen = set()
    for pointer, _ in leaves_of(document):
        steps = pointer.split("/")
        for end in range(2, len(steps) + 1):
            at = "/".join(steps[:end])
            if not steps[end - 1].isdigit() or shape(at) in seen:
                continue
            seen.add(shape(at))
            now = copy.deepcopy(document)
            rows, index = parent_of(now, at)
            if not isinstance(rows, list):
                continue
            del rows[index]
            answer = differences(document, now, held(document))
            assert answer["changes"], at
            assert any(
                figure["pointer"].startswith(at.rpartition("/")[0])
                for one in answer["changes"]
                for figure in one["figures"]
            ), (at, [one["sentence"] for one in answer["changes"]])
    assert len(seen) > 15


def test_the_same_document_has_no_difference(document: Document) -> None:
    answer = differences(document, copy.deepcopy(document), held(document))
    assert answer["changes"] == []
    assert answer["same_inputs"] is True
    assert answer["unchanged"]["waypoint"] == 5
    assert answer["unchanged"]["turn"] == 3
    assert answer["unchanged"]["hazard"] == 3
    assert {one["properties"]["revision"] for one in answer["layers"]["features"]} == {"now"}
