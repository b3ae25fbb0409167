"""House rules that a machine can see: units in names, sizes, sources, the top level."""

import ast
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SERVICE = ROOT / "service" / "wheelover"
PYTHON = sorted(SERVICE.rglob("*.py"))
CORE = sorted((SERVICE / "core").rglob("*.py"))

UNITS = (
    "_m", "_nm", "_kn", "_m_per_s", "_deg", "_rad", "_deg_per_min", "_rad_per_s", "_s", "_utc",
    "_kg_per_m3", "_ratio", "_count", "_index", "_per_s", "_s2", "_m2", "_per_m2", "_lengths",
    "_deg_per_s", "_bft", "_t", "_t_per_cm", "_min", "_h", "_per_day", "_rpm", "_nt", "_year",
    "_days", "_kw",
)  # fmt: skip
NO_UNIT = {
    # Numbers without a unit, and coefficients whose unit the model fixes (types/ship.py).
    "block_coefficient", "race_exponent", "speed_recovery", "speed_loss", "drift_lag", "value",
    # A finding carries its unit beside its numbers.
    "measured", "limit",
}  # fmt: skip


def _numbers(tree: ast.AST) -> list[tuple[str, int]]:
    """Return every annotated name that holds a float, with its line."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            found.append((node.target.id, ast.unparse(node.annotation), node.lineno))
        elif isinstance(node, ast.arg) and node.annotation is not None:
            found.append((node.arg, ast.unparse(node.annotation), node.lineno))
    return [
        (name, line)
        for name, kind, line in found
        if re.fullmatch(r"(float|Floats)( \| None)?", kind)
    ]


def _has_unit(name: str) -> bool:
    plain = re.sub(r"\d+$", "", name.lower())
    plain = re.sub(r"(?<=[a-z])\d+(?=_)", "", plain)
    return plain.endswith(UNITS) or plain in NO_UNIT


@pytest.mark.parametrize(
    "path", sorted((SERVICE / "core" / "types").glob("*.py")), ids=lambda p: p.name
)
def test_every_number_of_a_type_says_its_unit(path: Path) -> None:
    bad = [
        f"{path.name}:{line} {name}"
        for name, line in _numbers(ast.parse(path.read_text()))
        if not _has_unit(name)
    ]
    assert bad == []


@pytest.mark.parametrize("path", CORE, ids=lambda p: str(p.relative_to(SERVICE)))
def test_numbers_of_the_core_say_their_unit(path: Path) -> None:
    """Of arguments and fields; pure directions of rounding (sign) and lists of any unit aside."""
    aside = {"values", "sign"}
    bad = [
        f"{path.name}:{line} {name}"
        for name, line in _numbers(ast.parse(path.read_text()))
        if not _has_unit(name) and name not in aside
    ]
    assert bad == []


def test_numbers_of_the_json_say_their_unit() -> None:
    from wheelover.api.schemas.plan_request import PlanRequest  # noqa: PLC0415
    from wheelover.api.schemas.plan_response import PlanResponse  # noqa: PLC0415

    for model in (PlanRequest, PlanResponse):
        for name, definition in model.model_json_schema().get("$defs", {}).items():
            for member, kind in definition.get("properties", {}).items():
                if _is_number(kind):
                    # An id may be a number in GeoJSON (RFC 7946, 3.2); it measures nothing.
                    assert _has_unit(member) or member == "id", (name, member)


def _is_number(kind: dict[str, object]) -> bool:
    kinds = [kind, *kind.get("anyOf", [])]  # type: ignore[misc]
    return any(one.get("type") == "number" for one in kinds)  # type: ignore[attr-defined]


@pytest.mark.parametrize("path", PYTHON, ids=lambda p: str(p.relative_to(SERVICE)))
def test_files_and_functions_are_short(path: Path) -> None:
    text = path.read_text()
    assert len(text.splitlines()) <= 400
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            body = node.body[1:] if ast.get_docstring(node) else node.body
            lines = (node.end_lineno or 0) - body[0].lineno + 1 if body else 0
            assert lines <= 45, f"{path.name}:{node.lineno} {node.name} has {lines} lines"


def test_scripts_of_the_page_are_short() -> None:
    for path in (ROOT / "web").rglob("*.js"):
        assert len(path.read_text().splitlines()) <= 400, path


def test_every_citation_is_in_the_list_of_references() -> None:
    listed = set(re.findall(r"^\[(\w+)\]", (SERVICE / "core" / "REFERENCES.md").read_text(), re.M))
    cited: set[str] = set()
    for path in CORE:
        cited |= set(re.findall(r"\[(\w+)\]_", path.read_text()))
    assert cited
    assert cited - listed == set(), "cited but not listed"
    assert listed - cited == set(), "listed but not cited"


def test_top_level() -> None:
    tracked = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split("\n")
    allowed = {
        "README.md", "DEVELOPERS.md", "pyproject.toml", "service", "web", "tests", "sample_routes",
        "docker", "Makefile", "LICENSE", "CHANGELOG.md", "requirements.lock",
        "requirements-test.lock", "requirements-prove.lock",
    }  # fmt: skip
    tops = {path.split("/")[0] for path in tracked if path}
    assert {top for top in tops if not top.startswith(".")} <= allowed


def test_lock_files_name_no_host() -> None:
    for name in ("requirements.lock", "requirements-test.lock", "requirements-prove.lock"):
        text = (ROOT / name).read_text()
        assert "://" not in text
        assert "--index" not in text


def test_the_page_asks_no_other_origin() -> None:
    for path in (ROOT / "web").rglob("*"):
        if path.is_file() and path.suffix in (".js", ".css", ".html", ".svg"):
            hits = re.findall(r"https?://[^\s\"')]+", path.read_text())
            assert [hit for hit in hits if "w3.org" not in hit] == [], path


def test_the_word_safe_is_no_verdict() -> None:
    """On screens and papers the word may not appear; the page's and the service's texts."""
    banned = re.compile(r"\b(safe|safely|unsafe|all clear|passed)\b", re.I)
    for path in [*(ROOT / "web").rglob("*.js"), ROOT / "web" / "index.html"]:
        for number, line in enumerate(path.read_text().splitlines(), 1):
            words = list(re.findall(r"\"[^\"]*\"|'[^']*'|`[^`]*`", line))
            assert not any(banned.search(word) for word in words), f"{path.name}:{number}"
    for path in (SERVICE / "render", SERVICE / "core" / "checks"):
        for file in path.rglob("*.py"):
            for node in ast.walk(ast.parse(file.read_text())):
                if isinstance(node, ast.Constant) and isinstance(node.value, str):
                    # The ship's safety management system is a title, not a verdict.
                    assert not banned.search(node.value), f"{file.name}:{node.lineno}"


def test_settings_are_in_the_readme() -> None:
    from wheelover.settings import SETTINGS  # noqa: PLC0415

    text = (ROOT / "README.md").read_text()
    for row in SETTINGS.values():
        assert row.variable in text


def test_readme_shows_both_commands() -> None:
    text = (ROOT / "README.md").read_text()
    assert "make run" in text
    assert "make test" in text
