"""The streams of a plan in its basis: which tables count, and what is assumed of them."""

from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.plan import BasisRow


def stream_rows(conditions: Conditions) -> tuple[BasisRow, ...]:
    """Return a row for each table of streams, and one for rates that are assumed.

    Parameters
    ----------
    conditions : Conditions
        With the tables.
    """
    rows = []
    assumed = 0
    for stream in conditions.streams:
        value = f"{stream.station}, {len(stream.rows)} times"
        if stream.hours:
            first, last = stream.hours[0].hour, stream.hours[-1].hour
            value = f"{stream.station}, {first:+d} h to {last:+d} h about high water"
        assumed += stream.range_ratio is None and any(
            one.neap_drift_kn is not None for one in stream.hours
        )
        rows.append(
            BasisRow(input="stream", value=value, unit=None, source="you", note=stream.source)
        )
    if assumed:
        tables = "1 table of streams gives" if assumed == 1 else f"{assumed} tables of streams give"
        note = f"{tables} neaps and springs, and nobody says where the day lies between them"
        rows.append(
            BasisRow(
                input="rates of tidal streams",
                value="those of springs",
                unit=None,
                source="default",
                note=note,
            )
        )
    return tuple(rows)
