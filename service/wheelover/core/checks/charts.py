"""Checks of the charts themselves: what they cover, how large their scale is, how good they are."""

from wheelover.core.charted.accuracy import stated
from wheelover.core.checks.workings import (
    Verdict,
    Workings,
    leg_name,
    leg_subject,
    plan_subject,
    turn_name,
    turn_subject,
    updates_missing,
)
from wheelover.core.types.charted import ChartedTrack, PieceCovered, SafetyContour, Stretch
from wheelover.core.types.clearance import Piece
from wheelover.core.types.plan import Finding, Grade, Subject
from wheelover.core.units import nm_from_m

SMALL_SCALE = 350_000
"""From this denominator on a scale counts as small: overview and general charts [S57A]_."""

_NO_CELLS = "no chart cells are loaded"
_LISTED = 3


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on the charts of every leg and turn, and on the safety contour."""
    on_chart = workings.on_chart
    verdicts = [_contour(on_chart)]
    found = {} if on_chart is None else {one.piece: one for one in on_chart.covered}
    pieces: list[tuple[Piece, Subject, str]] = [
        *(
            (Piece(kind="leg", index=leg.index), leg_subject(leg), leg_name(leg))
            for leg in workings.track.legs
        ),
        *(
            (Piece(kind="turn", index=turn.index), turn_subject(turn), turn_name(turn))
            for turn in workings.track.turns
        ),
    ]
    for piece, subject, name in pieces:
        due = f"{piece.kind}_charts"
        covered = found.get(piece)
        if on_chart is None:
            verdicts.append(Verdict(check=due, subject=subject, not_checked=_NO_CELLS))
        elif covered is None:
            reason = "it has no path" if piece.kind == "turn" else "the leg has no length"
            verdicts.append(Verdict(check=due, subject=subject, not_checked=reason))
        else:
            verdicts.append(_piece(workings, on_chart, covered, subject, name))
    return tuple(verdicts)


def _piece(
    workings: Workings, on_chart: ChartedTrack, covered: PieceCovered, subject: Subject, name: str
) -> Verdict:
    """Return the verdict on the charts of one piece of the track."""
    findings = (
        *_small_scale(workings, on_chart, covered, subject, name),
        *_survey(on_chart, covered, subject, name),
    )
    reasons = [
        _not_covered(covered),
        updates_missing(on_chart, covered.cells),
        _unknown_classes(on_chart, covered),
    ]
    return Verdict(
        check=f"{covered.piece.kind}_charts",
        subject=subject,
        findings=findings,
        not_checked="; ".join(one for one in reasons if one) or None,
    )


def _not_covered(covered: PieceCovered) -> str | None:
    """Return which stretches no loaded cell covers to the width that is looked at."""
    if not covered.uncovered:
        return None
    if not covered.cells:
        return "no loaded chart covers it"
    stretches = covered.uncovered
    listed = ", ".join(map(_stretch, stretches[:_LISTED]))
    more = f" and {len(stretches) - _LISTED} more" if len(stretches) > _LISTED else ""
    return (
        f"no loaded chart covers the water {nm_from_m(covered.half_width_m):.2f} NM to either side "
        f"of it from {listed}{more} along it"
    )


def _unknown_classes(on_chart: ChartedTrack, covered: PieceCovered) -> str | None:
    """Return which objects of the cells beside a piece there is no rule for, None for none."""
    said = []
    for cell in covered.cells:
        used = on_chart.charted.cells[cell]
        if used.unknown_classes:
            listed = ", ".join(
                f"{name} ({count})" for name, count in used.unknown_classes[:_LISTED]
            )
            more = len(used.unknown_classes) - _LISTED
            others = f" and {more} more" if more > 0 else ""
            said.append(f"{used.about.name} holds objects of classes not judged: {listed}{others}")
    return " and ".join(said) or None


def _stretch(one: Stretch) -> str:
    """Return a stretch in miles."""
    return f"{nm_from_m(one.from_m):.2f} to {nm_from_m(one.to_m):.2f} NM"


def _small_scale(
    workings: Workings, on_chart: ChartedTrack, covered: PieceCovered, subject: Subject, name: str
) -> tuple[Finding, ...]:
    """Return that a piece is only charted at a small scale, which leaves dangers out."""
    abouts = [on_chart.charted.cells[cell].about for cell in covered.cells]
    small = [one for one in abouts if one.scale >= SMALL_SCALE]
    if not small:
        return ()
    worst = max(small, key=lambda one: one.scale)
    water = workings.limits.water
    if covered.piece.kind == "leg":
        water = workings.track.legs[covered.piece.index].water or water
    message = (
        f"Some of the water beside the {name} is charted at 1:{worst.scale:,} at best "
        f"({worst.name}), among the loaded cells; a chart of so small a scale leaves dangers out. "
        "Load the largest scale there is."
    )
    return (
        Finding(
            code="small_scale",
            grade="note" if water == "open" else "must_explain",
            subject=subject,
            about=worst.name,
            message=message,
        ),
    )


def _survey(
    on_chart: ChartedTrack, covered: PieceCovered, subject: Subject, name: str
) -> tuple[Finding, ...]:
    """Return that water beside a piece lies where nobody states how well it was surveyed."""
    survey = next((one for one in on_chart.surveys if one.piece == covered.piece), None)
    if survey is None:
        return ()
    unstated = [f"zone {one}" for one in survey.zones if not stated(one)]
    if survey.unzoned:
        unstated.append("no zone")
    if not unstated:
        return ()
    others = [one for one in survey.zones if stated(one)]
    rest = f"; the rest is zone {', '.join(others)}" if others else ""
    message = (
        f"Some of the charted water beside the {name} lies in {' and '.join(unstated)}: the "
        f"quality of its survey is not stated{rest}. What lies there is taken to be as unsure as "
        "in zone C, 500 m in place, which is the least it can be; depths may be worse as well."
    )
    return (
        Finding(
            code="survey_unstated",
            grade="must_explain",
            subject=subject,
            message=message,
            measured=500.0,
            unit="m",
        ),
    )


def _contour(on_chart: ChartedTrack | None) -> Verdict:
    """Return the verdict on the safety contour in use."""
    if on_chart is None:
        return Verdict(check="safety_contour", subject=plan_subject(), not_checked=_NO_CELLS)
    contour = on_chart.charted.contour
    return Verdict(
        check="safety_contour", subject=plan_subject(), findings=_contour_findings(contour)
    )


def _contour_findings(contour: SafetyContour) -> tuple[Finding, ...]:
    """Return what is to be said of the contour wanted and the one in use."""
    wanted = contour.wanted
    findings = []
    if contour.used_m is None:
        message = (
            f"No loaded contour is as deep as the {wanted.contour_m:g} m wanted: all charted water "
            "counts as too shallow."
        )
        findings.append(_found("contour_none", "must_explain", message, contour))
    elif contour.used_m > wanted.contour_m:
        message = (
            f"The safety contour in use is {contour.used_m:g} m: the nearest loaded one equal to "
            f"the {wanted.contour_m:g} m wanted or deeper."
        )
        findings.append(_found("contour_deeper", "note", message, contour))
    if wanted.contour_source in {"ship", "default"}:
        what = (
            "proposed from the ship's deepest draught"
            if wanted.contour_source == "ship"
            else "the default where no draught is known"
        )
        message = (
            f"Nobody gave a safety contour; {wanted.contour_m:g} m is {what}. Set the one this "
            "passage needs."
        )
        findings.append(_found("contour_assumed", "must_explain", message, contour))
    return tuple(findings)


def _found(code: str, grade: Grade, message: str, contour: SafetyContour) -> Finding:
    """Return one finding on the contour."""
    return Finding(
        code=code,
        grade=grade,
        subject=plan_subject(),
        message=message,
        measured=contour.used_m,
        limit=contour.wanted.contour_m,
        unit="m",
    )
