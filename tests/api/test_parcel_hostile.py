"""A paired side that was taken over signs what it likes; what it may not send is refused whole."""

import hashlib
from dataclasses import replace
from typing import Any

import pytest

from tests.api.forging import forged
from tests.api.sides import Side, Sides, keep_plan, offer, two_sides
from wheelover.formats.parcel import (
    CarriedEdition,
    CarriedEvent,
    CarriedNote,
    CarriedPlan,
    CarriedRevision,
    Index,
)
from wheelover.formats.parcel.index import ANCHORS
from wheelover.formats.strict_json import read_json
from wheelover.usecases.canonical import canonical

UTC = "2026-11-26T04:00:00.000Z"
EVENT = CarriedEvent(
    number=1, revision=1, kind="shore_agreed", at_utc=UTC, name="S. Lund", rank="superintendent",
    claimed=True, body={"words": "Agreed."},
)  # fmt: skip
ANSWERED = {"explanation_id": "x", "answer": "accepted", "words": ""}
EDITION = CarriedEdition(
    kind="ship", id="ship-elsewhere", edition=1, name="x", source=None, item_count=1,
    sha256=hashlib.sha256(b"{}").hexdigest(), created_utc=UTC,
)  # fmt: skip


@pytest.fixture
def sides() -> Sides:
    return two_sides()


def sent(sides: Sides) -> str:
    """Return a plan of the ship that is ashore."""
    plan_id = keep_plan(sides.ship)
    offer(sides.ship, plan_id)
    sides.shore.taken(sides.ship.parcel(sides.shore, plan_id))
    return plan_id


def refused(side: Side, body: bytes, reason: str = "contents") -> str:
    """Hold that a parcel is refused for a reason, and return what is said of it."""
    plans = side.get("/api/v1/plans").json()
    answer = side.take(body)
    assert answer.status_code == 422, answer.text
    assert side.get("/api/v1/plans").json() == plans
    refusals = [
        one
        for vessel in _vessels(side)
        for one in side.audit(vessel)
        if one["what"] == "parcel.refused"
    ]
    assert reason in {one["reason"] for one in refusals}
    return str(answer.json()["detail"])


def _vessels(side: Side) -> list[str]:
    with side.store.reading() as unit:
        return list(unit.audit.vessels())


def frozen(sides: Sides, plan_id: str) -> tuple[CarriedRevision, bytes]:
    """Return revision 1 of a plan of the ship as it is carried, and its document."""
    with sides.ship.store.reading() as unit:
        (row,) = unit.carried.all_revisions(plan_id)
        body = unit.plans.document(row)
    names = CarriedRevision.__slots__
    return CarriedRevision(**{name: getattr(row, name) for name in names}), body


@pytest.mark.parametrize(
    "event",
    [
        replace(EVENT, kind="lapsed", body={"id": "x", "words": "x"}),
        replace(EVENT, kind="signed_off"),
        replace(
            EVENT,
            kind="explanation_answered",
            body={"explanation_id": "x", "answer": "accepted", "words": ""},
        ),
        replace(EVENT, kind="never_heard_of"),
        replace(EVENT, kind="conflict_found", body={}),
        replace(EVENT, body={"by": {"name": "R. Holm"}}),
        replace(EVENT, body={"kind": "approved"}),
        replace(EVENT, body={"words": "x", "reasons": 7}),
    ],
)
def test_the_shore_records_nothing_that_is_not_its_own(sides: Sides, event: CarriedEvent) -> None:
    plan_id = sent(sides)
    before = sides.ship.record(plan_id)
    plan = CarriedPlan(
        id=plan_id, events=(EVENT, event if event.number > 1 else replace(event, number=2))
    )
    refused(sides.ship, forged(sides.shore, sides.ship, Index(plans=(plan,))))
    assert sides.ship.record(plan_id) == before


NOTE = CarriedNote(
    id="note-1", thread_id="thread-1", anchor_kind="turn", anchor_id="B", kind="note", revision=1,
    newest_revision=1, at_utc=UTC, name="S. Lund", rank="superintendent", claimed=True, words="?",
)  # fmt: skip


def test_notes_stay_under_their_ids_and_in_their_threads(sides: Sides) -> None:
    plan_id, other = sent(sides), keep_plan(sides.ship, "Zoo two")
    offer(sides.ship, other)
    sides.shore.taken(sides.ship.parcel(sides.shore, other))

    def parcel(plan: str, *notes: CarriedNote, sequence: int = 1) -> bytes:
        index = Index(plans=(CarriedPlan(id=plan, notes=notes),))
        return forged(sides.shore, sides.ship, index, sequence=sequence)

    assert sides.ship.taken(parcel(plan_id, NOTE))["state"] == "taken"
    again = parcel(plan_id, NOTE, replace(NOTE, id="note-2", words="!"), sequence=2)
    assert sides.ship.taken(again)["carries"]["plans"][0]["notes_count"] == 1
    for number, bad in enumerate(
        (
            replace(NOTE, words="another"),
            replace(NOTE, id="note-3", anchor_id="C"),
            replace(NOTE, id="note-3", revision=2),
        )
    ):
        refused(sides.ship, parcel(plan_id, bad, sequence=3 + number))
    refused(sides.ship, parcel(other, replace(NOTE, id="note-3"), sequence=9))
    refused(sides.ship, parcel(other, replace(NOTE, thread_id="thread-2"), sequence=9))


@pytest.mark.parametrize("revision", [0, 1])
@pytest.mark.parametrize("kind", ANCHORS)
def test_threads_about_what_never_was_are_shown(sides: Sides, kind: str, revision: int) -> None:
    plan_id = sent(sides)
    note = replace(NOTE, anchor_kind=kind, anchor_id="/never/was", revision=revision)
    plan = CarriedPlan(id=plan_id, notes=(note,))
    sides.ship.taken(forged(sides.shore, sides.ship, Index(plans=(plan,))))
    listed = sides.ship.get(f"/api/v1/plans/{plan_id}/threads")
    assert listed.status_code == 200
    assert listed.json()["items"][0]["notes"][0]["side"] == "shore"


@pytest.mark.parametrize("changed", [{"kind": "shout"}, {"anchor_kind": "moon"}, {"id": "a/b"}])
def test_a_note_of_another_shape_is_refused(sides: Sides, changed: dict[str, str]) -> None:
    plan = CarriedPlan(id=sent(sides), notes=(replace(NOTE, **changed),))  # type: ignore[arg-type]
    refused(sides.ship, forged(sides.shore, sides.ship, Index(plans=(plan,))), "schema")


def test_the_shore_freezes_nothing_in_a_plan_of_the_ship(sides: Sides) -> None:
    plan_id = sent(sides)
    one, body = frozen(sides, plan_id)
    plan = CarriedPlan(id=plan_id, revisions=(one,))
    refused(sides.ship, forged(sides.shore, sides.ship, Index(plans=(plan,)), (body,)))


def test_a_plan_that_was_not_sent_is_not_commented_on(sides: Sides) -> None:
    kept = keep_plan(sides.ship)
    offer(sides.ship, kept)
    plan = CarriedPlan(id=kept, events=(EVENT,))
    refused(sides.ship, forged(sides.shore, sides.ship, Index(plans=(plan,))))
    nowhere = CarriedPlan(id="plan-nowhere", events=(EVENT,))
    refused(sides.ship, forged(sides.shore, sides.ship, Index(plans=(nowhere,))))


def test_one_ship_does_not_touch_the_plans_of_another(sides: Sides) -> None:
    plan_id = sent(sides)
    other = Side(None, "MV Other", "ship")
    assert other.pair(sides.shore).is_success
    assert sides.shore.pair(other).is_success
    one, body = frozen(sides, plan_id)
    for plan in (
        CarriedPlan(id=plan_id, events=(replace(EVENT, number=5),)),
        CarriedPlan(id=plan_id, revisions=(one,)),
    ):
        bodies = (body,) if plan.revisions else ()
        refused(sides.shore, forged(other, sides.shore, Index(plans=(plan,)), bodies))


def test_the_library_of_another_is_not_renewed(sides: Sides) -> None:
    plan_id = sent(sides)
    inputs = sides.ship.get(f"/api/v1/plans/{plan_id}").json()["inputs"]
    own = replace(EDITION, id=inputs["ship_id"], edition=2)
    refused(sides.ship, forged(sides.shore, sides.ship, Index(library=(own,)), (b"{}",)))


@pytest.mark.parametrize(
    "body",
    [b"[]", b"{", b'"x"', b'{"open": []}', b'{"open": {"min_clearance_by_class": ["rock"]}}'],
)
def test_a_limit_set_of_another_shape_is_refused(sides: Sides, body: bytes) -> None:
    digest = hashlib.sha256(body).hexdigest()
    other = replace(EDITION, kind="limit_set", id="limits-elsewhere", sha256=digest)
    refused(sides.shore, forged(sides.ship, sides.shore, Index(library=(other,)), (body,)))


@pytest.mark.parametrize(
    "fault", ["number", "plan_id", "inputs", "result", "loaded", "not_json", "cut"]
)
def test_a_revision_that_is_not_what_is_said_of_it_is_refused(sides: Sides, fault: str) -> None:
    plan_id = keep_plan(sides.ship)
    offer(sides.ship, plan_id)
    one, body = frozen(sides, plan_id)
    document: Any = read_json(body)
    if fault == "number":
        document["number"] = 2
    if fault == "plan_id":
        document["plan_id"] = "plan-other"
    if fault == "inputs":
        document["inputs"]["route"]["waypoints"][0]["lat_deg"] = 91.0
    if fault == "result":
        document["result"]["findings"] = [{"grade": "met"}]
    if fault == "loaded":
        del document["loaded"]
    text = {"not_json": b"{", "cut": body[:-1]}.get(fault, canonical(document))
    plan = CarriedPlan(
        id=plan_id, revisions=(replace(one, sha256=hashlib.sha256(text).hexdigest()),)
    )
    refused(sides.shore, forged(sides.ship, sides.shore, Index(plans=(plan,)), (text,)))


def test_a_revision_whose_bytes_are_not_there_is_refused(sides: Sides) -> None:
    plan_id = keep_plan(sides.ship)
    offer(sides.ship, plan_id)
    one, body = frozen(sides, plan_id)
    plan = CarriedPlan(id=plan_id, revisions=(one,))
    assert "does not carry" in refused(
        sides.shore, forged(sides.ship, sides.shore, Index(plans=(plan,)))
    )
    assert "pins what is not here" in refused(
        sides.shore, forged(sides.ship, sides.shore, Index(plans=(plan,)), (body,))
    )


def test_bytes_that_nothing_speaks_of_are_refused(sides: Sides) -> None:
    refused(sides.shore, forged(sides.ship, sides.shore, Index(), (b"ballast",)))


@pytest.mark.parametrize(
    "text", [b"", b"[]", b"{}", b'{"plans":[],"library":[],"more":1}', b'{"plans":1,"library":[]}']
)
def test_an_index_of_another_shape_is_refused(sides: Sides, text: bytes) -> None:
    refused(sides.shore, forged(sides.ship, sides.shore, text), "schema")


def test_what_leaves_gaps_is_held_only_so_far(
    sides: Sides, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("wheelover.usecases.parcels.taking._MOST_HELD", 3)
    for number in range(2, 5):
        body = forged(
            sides.ship, sides.shore, Index(), sequence=number, previous_sha256=f"{number:064x}"
        )
        assert sides.shore.taken(body)["state"] == "held"
    more = forged(sides.ship, sides.shore, Index(), sequence=9, previous_sha256="f" * 64)
    refused(sides.shore, more, "sequence")


def test_a_held_parcel_that_is_refused_later_spoils_no_other(sides: Sides) -> None:
    first = forged(sides.ship, sides.shore, Index())
    name = hashlib.sha256(_manifest(first)).hexdigest()
    bad = forged(sides.ship, sides.shore, Index(), (b"ballast",), sequence=2, previous_sha256=name)
    assert sides.shore.taken(bad)["state"] == "held"
    assert sides.shore.taken(first) | {"released": []} == sides.shore.taken(first) | {
        "state": "taken"
    }
    came = sides.shore.get(f"/api/v1/peers/{sides.ship.id}").json()["came"]
    assert [one["sequence"] for one in came] == [1]


def _manifest(parcel: bytes) -> bytes:
    length = int.from_bytes(parcel[10:14])
    return parcel[110 : 110 + length]


def test_names_that_look_like_markup_are_kept_as_text(sides: Sides) -> None:
    plan_id = sent(sides)
    words = "<img src=x onerror=alert(1)>"
    plan = CarriedPlan(id=plan_id, events=(replace(EVENT, name=words, body={"words": words}),))
    sides.ship.taken(forged(sides.shore, sides.ship, Index(plans=(plan,))))
    (said,) = sides.ship.record(plan_id)["shore"]
    assert (said["by"]["name"], said["words"]) == (words, words)
