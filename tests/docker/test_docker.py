"""The container files: checked by linters, held against the service, and run as plain processes.

No container engine runs here. hadolint checks the Dockerfile, the published schema of the compose
specification (as check-jsonschema carries it) the compose file; and the layout that the Dockerfile
makes is laid out in a folder and started with its own command and environment.
"""

import os
import re
import shlex
import shutil
import socket
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
import yaml

from wheelover.formats.strict_json import read_json
from wheelover.settings import LOOPBACK_HOSTS, SETTINGS

ROOT = Path(__file__).parents[2]
DOCKERFILE = ROOT / "docker" / "Dockerfile"
COMPOSE = ROOT / "docker" / "compose.yaml"
BIN = Path(sys.executable).parent
HADOLINT = BIN / "hadolint"


def _instructions() -> list[tuple[str, str]]:
    """Return the instructions of the last stage, comments left out and lines joined."""
    text = re.sub(r"^#.*\n", "", DOCKERFILE.read_text("utf-8"), flags=re.MULTILINE)
    lines = re.sub(r"\\\n\s*", "", text).splitlines()
    pairs = [(one.split(None, 1)[0], one.split(None, 1)[1]) for one in lines if one.strip()]
    last = max(number for number, (name, _) in enumerate(pairs) if name == "FROM")
    return pairs[last:]


def _values(name: str) -> list[str]:
    return [value for one, value in _instructions() if one == name]


def _environment() -> dict[str, str]:
    words = [word for value in _values("ENV") for word in shlex.split(value)]
    return dict(word.split("=", 1) for word in words)


def _copied() -> list[tuple[str, str]]:
    return [tuple(value.split()) for value in _values("COPY") if not value.startswith("--from")]  # type: ignore[misc]


def _volumes() -> list[str]:
    volumes = read_json(_values("VOLUME")[0].encode())
    assert isinstance(volumes, list)
    return volumes


def _compose() -> dict[str, Any]:
    return yaml.safe_load(COMPOSE.read_text("utf-8"))


def test_the_compose_file_is_as_its_specification_wants() -> None:
    checker = [BIN / "check-jsonschema", "--builtin-schema", "vendor.compose-spec", COMPOSE]
    subprocess.run(checker, check=True, stdout=subprocess.DEVNULL)


def test_the_linter_finds_nothing_in_the_dockerfile() -> None:
    if not HADOLINT.exists():
        if os.environ.get("CI"):
            pytest.fail("hadolint is not installed")
        pytest.skip("hadolint has no package for this machine")
    subprocess.run([HADOLINT, DOCKERFILE], check=True)


def test_linters_would_find_something(tmp_path: Path) -> None:
    bad = tmp_path / "compose.yaml"
    bad.write_text("services:\n  wheelover:\n    imaje: wheelover\n", encoding="utf-8")
    checker = [BIN / "check-jsonschema", "--builtin-schema", "vendor.compose-spec", bad]
    assert subprocess.run(checker, check=False, capture_output=True).returncode == 1
    if HADOLINT.exists():
        worse = tmp_path / "Dockerfile"
        worse.write_text("FROM python\nRUN sudo apt-get install vim\n", encoding="utf-8")
        assert subprocess.run([HADOLINT, worse], check=False, capture_output=True).returncode == 1


def test_every_path_variable_and_port_is_the_services_own() -> None:
    known = {row.variable: row for row in SETTINGS.values()}
    environment = _environment()
    ours = {name for name in environment if name.startswith("WHEELOVER_")}
    assert ours <= set(known)
    own = ("WHEELOVER_HOST", "WHEELOVER_PORT", "WHEELOVER_DATABASE", "WHEELOVER_WEB")
    assert {*own, "WHEELOVER_SAMPLES"} == ours, "the rest is set by whoever runs the container"
    assert environment["WHEELOVER_HOST"] in LOOPBACK_HOSTS
    assert environment["WHEELOVER_PORT"] == known["WHEELOVER_PORT"].default == _values("EXPOSE")[0]
    targets = {target for _, target in _copied()}
    assert {environment["WHEELOVER_WEB"], environment["WHEELOVER_SAMPLES"]} <= targets
    assert environment["PYTHONPATH"] in targets
    for source, _ in _copied():
        assert (ROOT / source).is_dir()
        assert f"!{source}" in (ROOT / ".dockerignore").read_text("utf-8").splitlines()
    data, compiled = _volumes()
    assert environment["WHEELOVER_DATABASE"].startswith(f"sqlite:///{data}/")
    assert environment["NUMBA_CACHE_DIR"] == compiled


def test_the_packages_are_the_locked_ones() -> None:
    text = DOCKERFILE.read_text("utf-8")
    assert "--require-hashes -r /tmp/requirements.lock" in text
    assert "COPY requirements.lock /tmp/requirements.lock" in text
    assert (ROOT / "requirements.lock").is_file()
    assert "://" not in text.replace("http://127.0.0.1", "").replace("sqlite:///", "")


def test_it_runs_as_nobody_in_particular_and_on_loopback_alone() -> None:
    assert _values("USER") == ["10001:10001"]
    assert any("install -d -o 10001 -g 10001 -m 0700" in value for value in _values("RUN"))
    service = _compose()["services"]["wheelover"]
    assert service["network_mode"] == "host"
    assert "ports" not in service
    assert service["read_only"] is True
    assert service["cap_drop"] == ["ALL"]
    assert (ROOT / "docker" / service["build"]["context"]).resolve() == ROOT
    assert (ROOT / service["build"]["dockerfile"]) == DOCKERFILE
    assert set(service["environment"]) <= {row.variable for row in SETTINGS.values()}
    mounted = dict(volume.split(":")[::-1] for volume in service["volumes"])
    assert set(mounted) == set(_volumes())
    assert set(mounted.values()) == set(_compose()["volumes"])


def _free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def _tree(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*")}


def test_its_layout_runs_as_plain_processes(tmp_path: Path) -> None:
    """The very files, environment, command and health check, under another root folder."""
    for source, target in _copied():
        ignored = shutil.ignore_patterns("__pycache__", "*.egg-info")
        shutil.copytree(ROOT / source, tmp_path / target.lstrip("/"), ignore=ignored)
    data, compiled = (tmp_path / volume.lstrip("/") for volume in _volumes())
    for folder in (data, compiled):
        folder.mkdir(parents=True)
    port = str(_free_port())
    environment = {
        name: re.sub("/(srv|var/lib|var/cache)/", rf"{tmp_path}/\1/", value)
        for name, value in _environment().items()
    }
    environment |= {"WHEELOVER_PORT": port, "PATH": f"{BIN}:{environment['PATH']}"}
    environment |= {"HOME": str(data)}
    compiling = read_json(next(one for one in _values("RUN") if one.startswith("[")).encode())
    subprocess.run(compiling, cwd=tmp_path, env=environment, check=True)
    as_built = _tree(compiled)
    assert any(name.endswith(".nbc") for name in as_built)
    health = read_json(_values("HEALTHCHECK")[0].split("CMD", 1)[1].encode())
    before = _tree(tmp_path / "srv")
    command = read_json(_values("CMD")[0].encode())
    with subprocess.Popen(command, cwd=tmp_path, env=environment, stdout=subprocess.PIPE) as run:
        try:
            assert run.stdout is not None
            printed = run.stdout.readline().decode()
            assert f"http://127.0.0.1:{port}/plans/demonstration" in printed
            deadline = time.monotonic() + 30
            while subprocess.run(
                health, env=environment, check=False, capture_output=True
            ).returncode:
                assert time.monotonic() < deadline
                assert run.poll() is None
                time.sleep(0.2)
        finally:
            run.terminate()
            run.wait(30)
    assert subprocess.run(health, env=environment, check=False, capture_output=True).returncode != 0
    assert _tree(tmp_path / "srv") == before
    assert _tree(compiled) == as_built
    assert (data / "wheelover.sqlite3").is_file()
