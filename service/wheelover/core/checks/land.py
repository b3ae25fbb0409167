"""The check of legs and turns against land of the open coastline."""

from dataclasses import replace

from wheelover.core.checks.workings import (
    Verdict,
    Workings,
    coverage_unknown,
    leg_name,
    leg_subject,
    turn_name,
    turn_subject,
)
from wheelover.core.clearance.passing import ON_TRACK_M
from wheelover.core.coast.waived import waiver_of_turn, within
from wheelover.core.margins import class_at
from wheelover.core.types.clearance import Piece
from wheelover.core.types.coast import CorridorLand, LandRow
from wheelover.core.types.plan import Finding, Grade, Subject
from wheelover.core.types.route import CanalWaiver, Position
from wheelover.core.types.track import PlannedLeg, PlannedTurn
from wheelover.core.units import nm_from_m

OPEN_ONLY = (
    "open coastline only, not official data, where no loaded cell covers; it is not surveyed to a "
    "stated accuracy and may be some hundred metres wrong"
)
BY_CELLS = (
    "all of it lies inside the coverage of the loaded cells, where the coastline is not used; "
    "their own land counts among the dangers"
)
Findings = tuple[Finding, ...]

_DATA = "The open coastline is not official and may be some hundred metres wrong."


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on land on every leg and in every turn."""
    rows = {} if workings.land is None else {one.piece: one for one in workings.land.rows}
    verdicts = [
        _leg(workings, leg, rows.get(Piece(kind="leg", index=leg.index)))
        for leg in workings.track.legs
    ]
    verdicts += [
        _turn(workings, turn, rows.get(Piece(kind="turn", index=turn.index)))
        for turn in workings.track.turns
    ]
    return tuple(verdicts)


def _leg(workings: Workings, leg: PlannedLeg, row: LandRow | None) -> Verdict:
    """Return the verdict on one leg."""
    subject = leg_subject(leg)
    if row is None or row.unmeasured is not None:
        return Verdict(check="leg_land", subject=subject, not_checked=_why_not(workings, leg, row))
    name = leg_name(leg)
    title = f"{name[0].upper()}{name[1:]}"
    canal = None if row.waived is None else leg.canal
    answered = tuple(one for one in row.on_land if within(row.waived, one))
    others = tuple(one for one in row.on_land if not within(row.waived, one))
    findings = [
        *(_on_land(title, subject, replace(row, on_land=answered), canal) if answered else ()),
        *(_on_land(title, subject, replace(row, on_land=others), None) if others else ()),
        *(() if row.on_land else _on_land(title, subject, row, None)),
        *_on_charted_land(workings, title, subject, row.piece),
        *_hull(name, subject, row),
        *_hull_beside(name, subject, row),
        *(_corridor(name, subject, one, leg.canal if one.waived else None) for one in row.corridor),
    ]
    if leg.canal is not None and not any(one.code == "land_waived" for one in findings):
        findings.append(_needless(name, subject, leg.canal))
    overlap = "the turns at its ends overlap, so no track exists; the whole leg was measured"
    return Verdict(
        check="leg_land",
        subject=subject,
        findings=tuple(findings),
        not_checked=_left_out(workings, row) if leg.room else overlap,
    )


def _turn(workings: Workings, turn: PlannedTurn, row: LandRow | None) -> Verdict:
    """Return the verdict on the arc of one turn. A canal that reaches into it counts."""
    subject = turn_subject(turn)
    reason = None
    if workings.land is None:
        reason = workings.chart.no_coast
    elif turn.arc is None:
        reason = f"{turn.reason}; the path around the corner is not known"
    elif row is None or row.unmeasured is not None:
        reason = "the turn was not measured" if row is None else row.unmeasured
    if reason is not None or row is None or workings.land is None:
        return Verdict(check="turn_land", subject=subject, not_checked=reason)
    through = waiver_of_turn(turn, workings.track.legs, workings.land.rows, row)
    waiver = None if through is None else through.canal
    return Verdict(
        check="turn_land",
        subject=subject,
        findings=(
            *_on_land(f"The {turn_name(turn)}", subject, row, waiver),
            *_on_charted_land(workings, f"The {turn_name(turn)}", subject, row.piece),
            *_hull_in_turn(turn, subject, row, waiver),
        ),
        not_checked=_left_out(workings, row)
        if turn.fits
        else "the turn does not fit, so the ship cannot follow its arc",
    )


def _why_not(workings: Workings, leg: PlannedLeg, row: LandRow | None) -> str:
    """Return why a leg was not held against the coastline."""
    if workings.land is None:
        return workings.chart.no_coast
    if leg.path is None:
        return "the leg has no length"
    reason = None if row is None else row.unmeasured
    return reason or "the leg was not measured"


def _left_out(workings: Workings, row: LandRow) -> str | None:
    """Return why land is not simply met: nobody answers for the open coastline.

    Inside the coverage of cells their own land is what counts, and it was measured as a danger.
    """
    if row.source != "cells":
        return OPEN_ONLY
    return BY_CELLS if workings.on_chart is None else coverage_unknown(workings, row.piece)


def _on_charted_land(workings: Workings, name: str, subject: Subject, piece: Piece) -> Findings:
    """Return the finding of a piece that crosses land or a shore of the loaded cells."""
    hazards = workings.chart.hazards
    ids = [
        hazards.ids[one.hazard_index]
        for one in workings.clearances.infringements
        if one.piece == piece and one.crossed and _is_land(workings, one.hazard_index)
    ]
    if not ids:
        return ()
    more = f" and {len(ids) - 1} more" if len(ids) > 1 else ""
    message = f"{name} crosses land of the loaded cells: {ids[0]}{more}. Move the track."
    return (
        Finding(
            code="charted_land_crossed",
            grade="must_resolve",
            subject=subject,
            message=message,
        ),
    )


def _is_land(workings: Workings, index: int) -> bool:
    """Return whether a danger is land or a shore that a cell charts."""
    on_chart = workings.on_chart
    charted = on_chart is not None and index >= on_chart.typed_count
    return charted and class_at(workings.chart.hazards, index) in ("land", "coast")


def _on_land(
    name: str, subject: Subject, row: LandRow, waiver: CanalWaiver | None
) -> tuple[Finding, ...]:
    """Return the finding of a piece that lies on land, or touches it."""
    nearest = row.nearest
    if not row.on_land and (nearest is None or nearest.distance_m > ON_TRACK_M):
        return ()
    if row.on_land:
        length_m = sum(one.length_m for one in row.on_land)
        first = row.on_land[0]
        stretches = "" if len(row.on_land) == 1 else f", in {len(row.on_land)} stretches"
        message = (
            f"{name} lies on land of the coastline for {nm_from_m(length_m):.2f} NM{stretches}, "
            f"first from {_place(first.start)} to {_place(first.end)}. {_DATA}"
        )
    else:
        length_m, place = 0.0, "" if nearest is None else f" at {_place(nearest.on_coast)}"
        message = f"{name} touches the coastline{place}. {_DATA}"
    canals = tuple(dict.fromkeys(canal for one in row.on_land for canal in one.canals))
    if waiver is None and canals:
        part = "This" if all(one.canals for one in row.on_land) else "Part of it"
        message += (
            f" {part} is where the {' or the '.join(canals)} is, by general geography, which the "
            "coastline closes: the leg can carry a canal waiver with a reason and a name."
        )
    elif waiver is None:
        message += " Move the track."
    else:
        known = "" if canals or not row.on_land else " No canal that is known here lies there."
        message += f" {waiver.label}{known}{_stretch(row)}"
    return (
        Finding(
            code="land_crossed" if waiver is None else "land_waived",
            grade="must_resolve" if waiver is None else "must_explain",
            subject=subject,
            message=message,
            measured=length_m,
            limit=0.0,
            unit="m",
        ),
    )


def _stretch(row: LandRow) -> str:
    """Return which stretch of a leg is waived, in words."""
    if row.waived is None:
        return ""
    from_nm, to_nm = nm_from_m(row.waived.from_m), nm_from_m(row.waived.to_m)
    return f" Waived is the stretch from {from_nm:.2f} to {to_nm:.2f} NM along the leg, no other."


def _hull_beside(name: str, subject: Subject, row: LandRow) -> tuple[Finding, ...]:
    """Return the finding of a hull that reaches the coast beside what is waived of a leg."""
    nearest = row.nearest
    if row.waived is None or row.rest_m is None or row.hull_m is None or nearest is None:
        return ()
    half_m = nearest.distance_m - row.hull_m
    if row.rest_m > half_m:
        return ()
    message = (
        f"On {name}, beside the stretch that is waived as a canal, the hull reaches {half_m:.0f} m "
        f"to either side of the track, and the coastline is {row.rest_m:.0f} m off. {_DATA}"
    )
    return (
        Finding(
            code="hull_on_land",
            grade="must_resolve",
            subject=subject,
            message=message,
            measured=row.rest_m - half_m,
            limit=0.0,
            unit="m",
        ),
    )


def _hull(name: str, subject: Subject, row: LandRow) -> tuple[Finding, ...]:
    """Return the finding of a hull that reaches the coast where its centre line does not."""
    nearest = row.nearest
    crossed = (
        row.on_land or row.waived is not None or nearest is None or nearest.distance_m <= ON_TRACK_M
    )
    if crossed or nearest is None or row.hull_m is None or row.hull_m > 0.0:
        return ()
    message = (
        f"On {name} the hull reaches {nearest.distance_m - row.hull_m:.0f} m to either side of the "
        f"track, and the coastline is {nearest.distance_m:.0f} m off at "
        f"{_place(nearest.on_coast)}. {_DATA}"
    )
    return (
        Finding(
            code="hull_on_land",
            grade="must_resolve",
            subject=subject,
            message=message,
            measured=row.hull_m,
            limit=0.0,
            unit="m",
        ),
    )


def _hull_in_turn(
    turn: PlannedTurn, subject: Subject, row: LandRow, waiver: CanalWaiver | None
) -> tuple[Finding, ...]:
    """Return the finding of a hull that comes onto the coast in a simulated turn."""
    if row.on_land or row.hull_m is None or row.hull_m > 0.0:
        return ()
    message = (
        f"In the {turn_name(turn)}, begun at its planned wheel-over, the hull comes onto the "
        f"coastline, as simulated. {_DATA}{_waived(waiver)}"
    )
    return (
        Finding(
            code="hull_on_land",
            grade=_grade(waiver),
            subject=subject,
            message=message,
            measured=row.hull_m,
            limit=0.0,
            unit="m",
        ),
    )


def _corridor(
    name: str, subject: Subject, land: CorridorLand, waiver: CanalWaiver | None
) -> Finding:
    """Return the finding of a cross-track limit that reaches over land."""
    limit_nm, distance_nm = nm_from_m(land.limit_m), nm_from_m(land.distance_m)
    message = (
        f"The cross-track limit of {name} to {land.side}, {limit_nm:.3f} NM, reaches over land: "
        f"the coastline is {distance_nm:.3f} NM from the leg at {_place(land.on_coast)}. {_DATA}"
        f"{_waived(waiver)}"
    )
    return Finding(
        code=f"corridor_on_{'canal' if land.waived else 'land'}_{land.side}",
        grade=_grade(waiver),
        subject=subject,
        message=message,
        measured=distance_nm,
        limit=limit_nm,
        unit="NM",
    )


def _needless(name: str, subject: Subject, waiver: CanalWaiver) -> Finding:
    """Return the note of a waiver on a leg where no land of the coastline is met."""
    return Finding(
        code="canal_not_needed",
        grade="note",
        subject=subject,
        message=f"The {name} carries a canal waiver that answers for no land of the coastline. "
        f"{waiver.label}",
    )


def _grade(waiver: CanalWaiver | None) -> Grade:
    """Return how grave land is: with a waiver somebody answers for it by name."""
    return "must_resolve" if waiver is None else "must_explain"


def _waived(waiver: CanalWaiver | None) -> str:
    """Return the words of a waiver behind a sentence."""
    return "" if waiver is None else f" {waiver.label}"


def _place(place: Position) -> str:
    """Return a position as it is written in a sentence: degrees, minutes and thousandths."""
    return f"{_angle(place.lat_deg, 'NS')} {_angle(place.lon_deg, 'EW')}"


def _angle(angle_deg: float, letters: str) -> str:
    """Return a latitude or longitude in degrees and minutes."""
    thousandths = round(abs(angle_deg) * 60_000.0)
    whole, rest = divmod(thousandths, 60_000)
    width = 2 if letters == "NS" else 3
    return f"{whole:0{width}d}-{rest / 1000.0:06.3f}{letters[angle_deg < 0.0]}"
