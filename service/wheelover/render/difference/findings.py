"""What differs in the findings and in the register of checks."""

from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from wheelover.render.difference.change import PLAN, About, Change, Figure, Where
from wheelover.render.difference.named import Places, subject_name
from wheelover.render.difference.pairs import (
    Both,
    Numbering,
    Row,
    figures_said,
    keyed,
    leaves,
    matched,
    only_renumbered,
    rest_of,
)
from wheelover.render.difference.words import GRADES, both_said

Document = dict[str, Any]

_MOST_NAMED = 8
_RESULTS = {**GRADES, "met": "met"}


def finding_changes(
    was: list[Document], now: list[Document], numbering: Numbering, places: Places
) -> Iterator[Change]:
    """Yield which findings are new, which are gone, and what differs in the others.

    Parameters
    ----------
    was, now : list of dict
        Findings as the answer gives them, each with its stable id.
    numbering, places : Numbering, Places
        Which waypoint has which number, and where it lies.
    """
    pairs = matched(keyed(was, lambda _, one: one["id"]), keyed(now, lambda _, one: one["id"]))
    for one, old, new in pairs:
        subject = (new or old or (0, {}))[1].get("subject") or {}
        about = About(kind="finding", id=one if isinstance(one, str) else str(one[0]))
        where = places.of(subject.get("id"))
        if old is None or new is None:
            yield _come_or_gone(about, old, new, where)
        elif old[1] != new[1]:
            at = f"/result/findings/{old[0]}", f"/result/findings/{new[0]}"
            both = Both(old[1], new[1], *at, numbering)
            name = _name(both.now, numbering)
            yield from _finding(both, about, name, where)


def _name(finding: Document, numbering: Numbering) -> str:
    """Return what a finding is called: what was found, and on what."""
    subject = finding.get("subject") or {}
    on = subject_name(numbering, str(subject.get("kind")), subject.get("id"))
    code = str(finding.get("code")).replace("_", " ")
    return f"Finding {code}, {on}"


def _come_or_gone(about: About, old: Row | None, new: Row | None, where: Where) -> Change:
    """Return that a finding is new or gone."""
    index, row = new or old or (0, {})
    grade = GRADES.get(row.get("grade", ""), str(row.get("grade")))
    word = f"Finding new, {grade}" if new else f"Finding gone, was {grade}"
    return Change(
        kind="finding", about=about, what="new" if new else "gone",
        sentence=f"{word}: {row.get('message')}",
        was=None if new else row.get("grade"), now=row.get("grade") if new else None,
        figures=(
            Figure(pointer=f"/result/findings/{index}", was=old and old[1], now=new and new[1]),
        ),
        where=where,
    )  # fmt: skip


def _finding(both: Both, about: About, name: str, where: Where) -> Iterator[Change]:
    """Yield what differs in a finding that both have; its sentence follows from the rest."""
    graded = both.differs("grade")
    measured = any(both.differs(member) for member in ("measured", "limit", "unit"))
    was, now, unit = both.was, both.now, both.now.get("unit") or ""
    if graded:
        old, new = (GRADES.get(one.get("grade") or "", str(one.get("grade"))) for one in (was, now))
        message = both.take("message")
        yield Change(
            kind="finding", about=about, what="grade", was=was.get("grade"), now=now.get("grade"),
            sentence=f"{name} was {old}, now {new}: {now.get('message')}",
            figures=(*both.take("grade"), *message), where=where,
        )  # fmt: skip
    if measured:
        yield _measured(both, about, name, unit, where)
    if both.differs("message") and "message" not in both.taken:
        old, new = both_said(was.get("message"), now.get("message"))
        yield Change(
            kind="finding", about=about, what="message", was=was.get("message"),
            now=now.get("message"), sentence=f"{name} read {old!r}, now {new!r}",
            figures=both.take("message"), where=where,
        )  # fmt: skip
    yield from rest_of("finding", about, name, both, where=where)


def _measured(both: Both, about: About, name: str, unit: str, where: Where) -> Change:
    """Return that another value was found, or is held against another limit."""
    was, now = both.was, both.now
    parts = []
    for member, word in (("measured", "found"), ("limit", "limit")):
        if both.differs(member):
            old, new = both_said(was.get(member), now.get(member), unit)
            parts.append(f"{word} was {old}, now {new}")
    if both.differs("unit"):
        parts.append(f"unit was {was.get('unit')}, now {now.get('unit')}")
    message = () if "message" in both.taken else both.take("message")
    return Change(
        kind="finding", about=about, what="measured", was=was.get("measured"),
        now=now.get("measured"), unit=unit or None, sentence=f"{name}: {'; '.join(parts)}",
        figures=(*both.take("measured", "limit", "unit"), *message), where=where,
    )  # fmt: skip


def check_changes(was: Document, now: Document, numbering: Numbering) -> Iterator[Change]:
    """Yield what differs in the register of checks, what comes to the same told once.

    Parameters
    ----------
    was, now : dict
        The registers as the answer gives them.
    numbering : Numbering
        Which waypoint has which number.
    """
    both = Both(was, now, "/result/checks", "/result/checks", numbering)
    both.taken.add("rows")
    groups: dict[tuple[Any, ...], list[tuple[str, tuple[Figure, ...]]]] = defaultdict(list)
    pairs = matched(keyed(was["rows"], _check_key), keyed(now["rows"], _check_key))
    for _, old, new in pairs:
        if old is None or new is None:
            index, row = new or old or (0, {})
            figure = Figure(
                pointer=f"/result/checks/rows/{index}", was=old and old[1], now=new and new[1]
            )
            subject = row.get("subject") or {}
            key = ("added" if new else "removed", subject.get("kind"), subject.get("id"))
            groups[key].append((str(row.get("title")), (figure,)))
        elif old[1] != new[1]:
            subjects = old[1].get("subject"), new[1].get("subject")
            if only_renumbered(*subjects, numbering) and new[1] == {
                **old[1],
                "subject": subjects[1],
            }:
                continue
            at = f"/result/checks/rows/{new[0]}"
            row_figures = tuple(leaves(old[1], new[1], at, numbering))
            if row_figures:
                subject = new[1].get("subject") or {}
                on = subject_name(numbering, str(subject.get("kind")), subject.get("id"))
                results = old[1].get("result"), new[1].get("result")
                group = ("result", new[1].get("check"), new[1].get("title"), *results)
                groups[group].append((on, row_figures))
    for group, rows in groups.items():
        yield _checks(group, rows, numbering)
    yield from rest_of("check", PLAN, "Register of checks", both)


def _check_key(_index: int, row: Document) -> tuple[Any, ...]:
    """Return what a row of the register is known by."""
    subject = row.get("subject") or {}
    return row.get("check"), subject.get("kind"), subject.get("id")


def _checks(
    key: tuple[Any, ...], rows: list[tuple[str, tuple[Figure, ...]]], numbering: Numbering
) -> Change:
    """Return rows of the register that differ in the same way as one change."""
    figures = tuple(figure for _, found in rows for figure in found)
    names = [name for name, _ in rows]
    if key[0] != "result":
        what, kind, one = key[0], key[1], key[2]
        on = subject_name(numbering, str(kind), one)
        return Change(
            kind="check", about=About(kind=str(kind), id=one), what=f"{what}-{kind}",
            sentence=f"Checks due for {on}: {len(rows)} {what}"
            + (f" ({_listed(names)})" if len(rows) <= _MOST_NAMED else ""), figures=figures,
            was=len(rows) if what == "removed" else 0, now=len(rows) if what == "added" else 0,
        )  # fmt: skip
    check, title, was, now = key[1:]
    said = [_RESULTS.get(one, str(one)) for one in (was, now)]
    if was != now:
        sentence = f"Check {title}, {_listed(names)}: was {said[0]}, now {said[1]}"
    elif len(figures) == 1:
        old, new = both_said(figures[0].was, figures[0].now)
        sentence = f"Check {title}, {_listed(names)}, {said[1]} as before: was {old}, now {new}"
    else:
        sentence = (
            f"Check {title}, {_listed(names)}: {said[1]} as before, for another reason: "
            + figures_said("now", figures[:1], 4)[5:]
        )
    about = About(kind="check", id=str(check))
    return Change(
        kind="check", about=about, what="reason" if was == now else f"{was}-{now}", was=was,
        now=now, sentence=sentence, figures=figures,
    )  # fmt: skip


def _listed(names: list[str]) -> str:
    """Return names in a sentence, the first of them where they are many."""
    if len(names) <= _MOST_NAMED:
        return ", ".join(names)
    return f"{', '.join(names[:_MOST_NAMED])} and {len(names) - _MOST_NAMED} more"
