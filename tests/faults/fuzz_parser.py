"""One parser under a coverage-guided fuzzer, in a process of its own (F5, long form).

``python -m tests.faults.fuzz_parser csv SECONDS FOLDER [faulty]``: files of every kind are made by
changing those of the corpus, and kept where they reach a line that none before has reached. Ends
with an exit code that is not 0 at the first file that is a fault of ours: anything but a refusal.
What it found stands in FOLDER. ``faulty`` lets one refusal escape as if it were a fault.
"""

import sys
from collections.abc import Callable
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["wheelover.formats"]):
    from wheelover.formats.parcel import container
    from wheelover.formats.route_file import read_route

from tests.formats.test_parcel import parcel_of, taken
from wheelover.core.errors import WheeloverError

CORPUS = Path(__file__).parents[1] / "formats" / "corpus"
PARSERS = ("csv", "gpx", "rtz", "geojson", "parcel")
_LONGEST_COUNT = 20_000


def route_of(kind: str) -> Callable[[bytes], object]:
    """Return what reads a route file of a kind."""
    return lambda body: read_route(body, f"route.{kind}")


def refusing(read: Callable[[bytes], object], *, faulty: bool) -> Callable[[bytes], None]:
    """Return a reader whose refusals are no faults."""

    def tried(body: bytes) -> None:
        try:
            read(body)
        except WheeloverError as error:
            if faulty and "line 3" in str(error):
                raise LookupError("a refusal that escaped") from error

    return tried


def seeds(kind: str, folder: Path) -> Path:
    """Put the files that a parser starts from into a folder."""
    folder.mkdir()
    if kind == "parcel":
        (folder / "parcel").write_bytes(parcel_of())
        return folder
    for path in CORPUS.glob(f"{kind}-*"):
        if path.stat().st_size <= _LONGEST_COUNT:
            (folder / path.name).write_bytes(path.read_bytes())
    return folder


def main() -> None:
    """Run the fuzzer; it ends the process."""
    kind, seconds, place = sys.argv[1:4]
    faulty, folder = "faulty" in sys.argv[4:], Path(place)
    # What comes after the signature is reached only where one of changed bytes seems to hold.
    container.holds = lambda *_: True
    read = taken if kind == "parcel" else route_of(kind)
    options = [f"-max_total_time={seconds}", f"-max_len={_LONGEST_COUNT}", "-timeout=20"]
    options += [f"-artifact_prefix={folder}/", str(seeds(kind, folder / "seeds"))]
    atheris.Setup([sys.argv[0], *options], refusing(read, faulty=faulty))
    atheris.Fuzz()


if __name__ == "__main__":
    main()
