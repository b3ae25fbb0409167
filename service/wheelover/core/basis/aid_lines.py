"""Basis rows of lines to steer by: the range scale, and the objects that nobody chose."""

from wheelover.core.types.aid_lines import AidLines
from wheelover.core.types.plan import BasisRow


def line_rows(lines: AidLines) -> tuple[BasisRow, ...]:
    """Return what index lines hang on, with the word for where it came from.

    Parameters
    ----------
    lines : AidLines
        The lines to steer by.
    """
    in_use = [one for leg in lines.index for one in leg.in_use]
    if lines.radar is None or not in_use:
        return ()
    rows = []
    if not lines.radar.is_given:
        rows.append(
            BasisRow(
                input="range scale for index lines",
                value=lines.radar.range_scale_nm,
                unit="NM",
                source="default",
                note="common practice in coastal waters; the ship gives none",
            )
        )
    proposed = len({one.leg_index for one in in_use if one.use == "proposed"})
    if proposed:
        rows.append(
            BasisRow(
                input="index objects",
                value="those that rank first",
                unit=None,
                source="default",
                note=f"{proposed} leg{'' if proposed == 1 else 's'} for which nobody chose any",
            )
        )
    return tuple(rows)
