"""The words of the page: which plan, what was not checked, findings, cautions, the passage."""

from html import escape
from typing import Any

from wheelover.formats.positions import shown
from wheelover.render.exports.rows import Row, rows
from wheelover.render.exports.stamp import Document, Remarks
from wheelover.render.standalone.words import cell, head

_LEG = ("line", "course_deg", "distance_nm", "speed_kn", "xtd_port_nm", "xtd_starboard_nm")
_TURN = ("course_change_deg", "radius_nm", "rate_of_turn_deg_per_min", "reach_m", "fits")


def _voyage(result: Document) -> str:
    """Return number and ports of the voyage, nothing where none is given."""
    voyage = result.get("voyage") or {}
    ports = [voyage.get(name) or {} for name in ("departure_port", "arrival_port")]
    named = [" ".join(filter(None, (one.get("text"), one.get("locode")))) for one in ports]
    words = [f"Voyage {voyage['number']}"] if voyage.get("number") else []
    words += [f"{way} {port}" for way, port in zip(("from", "to"), named, strict=True) if port]
    return f"<p>{escape(' '.join(words))}</p>" if words else ""


def top(name: str, said: Remarks, result: Document) -> str:
    """Return the head of the page."""
    standing = "".join(f"<p>{escape(one)}</p>" for one in said.standing)
    lights = "".join(
        f'<button type="button" data-light="{one}" aria-pressed="false">{one.capitalize()}'
        "</button> "
        for one in ("day", "dusk", "night")
    )
    return (
        f'<header><h1>{escape(name)}</h1><strong class="status" data-testid="status">'
        f"{escape(said.status)}</strong>"
        f'<p class="identity" data-testid="identity">{escape(said.identity)}</p>'
        f"{_voyage(result)}{standing}"
        f'<p class="caution">{escape(said.cautions[0] if said.cautions else "")}</p>'
        f"<p>Findings: {escape(said.findings)}</p>"
        f'<p class="light" role="group" aria-label="Light">{lights}</p></header>'
    )


def passage(inputs: Document, result: Document) -> str:
    """Return the plan by its waypoints."""
    columns = (
        *("waypoint", "name", "position"),
        *(f"leg_{name}" for name in _LEG),
        "leg_least_clearance_m",
        *(f"turn_{name}" for name in _TURN),
        *("wheel_over_method", "wheel_over_distance_nm", "wheel_over_position"),
    )
    heads = "".join(f'<th scope="col">{escape(head(name))}</th>' for name in columns)
    body = "".join(_row(row) for row in rows(inputs, result))
    return (
        '<section><h2 id="passage">The passage</h2><div class="table-box" tabindex="0" '
        'role="region" aria-label="The passage"><table data-testid="passage"><thead><tr>'
        f"{heads}</tr></thead><tbody>{body}</tbody></table></div></section>"
    )


def _row(row: Row) -> str:
    """Return one waypoint with the leg that leads there and the turn made there."""
    leg, turn = row.leg or {}, row.turn or {}
    planned = turn.get("planned") or {}
    least = leg.get("least_clearance") or {}
    place = shown(row.waypoint["lat_deg"], row.waypoint["lon_deg"])
    cells = [
        cell("id", row.waypoint["id"], "th"),
        cell("name", row.given("name")),
        cell("position", place),
        *(cell(name, leg.get(name)) for name in _LEG),
        cell("clearance_m", least.get("clearance_m")),
        *(cell(name, turn.get(name)) for name in _TURN),
        cell("method", planned.get("method")),
        cell("distance_nm", planned.get("distance_nm")),
        cell("position", planned.get("position")),
    ]
    return f"<tr>{''.join(cells)}</tr>"


def member_table(title: str, members: list[Document], test_id: str) -> str:
    """Return a list of the plan as a table, nothing where there is none."""
    if not members:
        return ""
    names: dict[str, None] = {}
    for one in members:
        names.update(dict.fromkeys(one))
    heads = "".join(f'<th scope="col">{escape(head(name))}</th>' for name in names)
    body = "".join(
        f"<tr>{''.join(cell(name, one.get(name)) for name in names)}</tr>" for one in members
    )
    return (
        f'<section><h2>{escape(title)}</h2><div class="table-box" tabindex="0" role="region" '
        f'aria-label="{escape(title)}"><table data-testid="{escape(test_id)}"><thead><tr>{heads}'
        f"</tr></thead><tbody>{body}</tbody></table></div></section>"
    )


def findings(result: Document) -> str:
    """Return the findings, the gravest as they come in the plan."""
    found: list[dict[str, Any]] = result.get("findings") or []
    items = "".join(
        f'<li class="g-{escape(one["grade"])}"><strong>{escape(one["grade"].replace("_", " "))}'
        f"</strong>: {escape(one['message'])}</li>"
        for one in found
        if one["grade"] != "not_checked"
    )
    return f"<section><h2>Findings</h2><ul>{items or '<li>none is reported</li>'}</ul></section>"


def not_checked(said: Remarks) -> str:
    """Return what was not checked, all of it."""
    items = "".join(f"<li>{escape(one)}</li>" for one in said.not_checked)
    count = len(said.not_checked)
    return (
        f'<section class="not-checked"><h2>Not checked: {count}</h2>'
        f'<ul data-testid="not-checked">{items or "<li>none is reported</li>"}</ul></section>'
    )


def cautions(said: Remarks) -> str:
    """Return the cautions, and what is said of taking the route elsewhere."""
    items = "".join(f"<li>{escape(one)}</li>" for one in (*said.cautions, *said.exchange))
    return f'<section><h2>Cautions</h2><ul data-testid="cautions">{items}</ul></section>'
