"""One parser under a coverage-guided fuzzer, in a process of its own (F5, long form).

``python -m tests.faults.fuzz_parser csv SECONDS FOLDER [faulty]``: files of every kind are made by
changing those of the corpus, and kept where they reach a line that none before has reached. Ends
with an exit code that is not 0 at the first file that is a fault of ours: anything but a refusal.
What it found stands in FOLDER. ``faulty`` lets one refusal escape as if it were a fault.
"""

import sys
from collections.abc import Callable
from pathlib import Path

CORPUS = Path(__file__).parents[1] / "formats" / "corpus"
_LONGEST_COUNT = 20_000


def reader_of(kind: str) -> Callable[[bytes], object]:
    """Return what reads files of a kind, loaded so that the fuzzer sees which lines it reaches."""
    import atheris  # noqa: PLC0415  of the extra "prove"

    with atheris.instrument_imports(include=["wheelover.formats"]):
        from wheelover.formats.parcel import container  # noqa: PLC0415
        from wheelover.formats.route_file import read_route  # noqa: PLC0415

    if kind != "parcel":
        return lambda body: read_route(body, f"route.{kind}")
    from tests.formats.test_parcel import taken  # noqa: PLC0415

    # What comes after the signature is reached only where one of changed bytes seems to hold.
    container.holds = lambda *_: True
    return taken


def refusing(read: Callable[[bytes], object], *, faulty: bool) -> Callable[[bytes], None]:
    """Return a reader whose refusals are no faults."""
    from wheelover.core.errors import WheeloverError  # noqa: PLC0415

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
        from tests.formats.test_parcel import parcel_of  # noqa: PLC0415

        (folder / "parcel").write_bytes(parcel_of())
        return folder
    for path in CORPUS.glob(f"{kind}-*"):
        if path.stat().st_size <= _LONGEST_COUNT:
            (folder / path.name).write_bytes(path.read_bytes())
    return folder


def main() -> None:
    """Run the fuzzer; it ends the process."""
    import atheris  # noqa: PLC0415  of the extra "prove"

    kind, seconds, place = sys.argv[1:4]
    read, folder = reader_of(kind), Path(place)
    options = [f"-max_total_time={seconds}", f"-max_len={_LONGEST_COUNT}", "-timeout=20"]
    options += [f"-artifact_prefix={folder}/", str(seeds(kind, folder / "seeds"))]
    tried = refusing(read, faulty="faulty" in sys.argv[4:])
    atheris.Setup([sys.argv[0], *options], tried)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
