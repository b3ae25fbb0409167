"""The catalogue of an exchange set: files are held against the checksums that it states.

S-57, part 3: a record for each file, its field CATD with the name and a CRC-32 in hexadecimal
digits, over the whole file, as IEEE 802.3 has it.
"""

import re
import zlib
from collections.abc import Iterable, Mapping

from wheelover.charts.iso8211 import records
from wheelover.charts.s57 import FileLine, GivenFile
from wheelover.core.errors import UnreadableFile

_NAME = re.compile(r"CATALOG\.\d{3}", re.IGNORECASE | re.ASCII)
_HEAD_COUNT = 12
"""Kind and number of the record, before what ends with a mark of its own."""

_PART = b"\x1f"
_PARTS, _CHECKSUM = 9, 7
_TOLD = 3
_CELL_FILE = re.compile(r"[^.]*\.\d{3}", re.ASCII)
_HEX = re.compile(rb"[0-9A-Fa-f]{1,8}")


def is_catalogue(name: str) -> bool:
    """Return whether a file is a catalogue by its name.

    Parameters
    ----------
    name : str
        The name, without folders.
    """
    return _NAME.fullmatch(name) is not None


def checksums_of(catalogue: GivenFile) -> Mapping[str, int | None]:
    """Return the checksum of each file that a catalogue names, None where it states none.

    Parameters
    ----------
    catalogue : GivenFile
        The file.

    Raises
    ------
    UnreadableFile
        Naming the record that cannot be read.
    """
    found: dict[str, int | None] = {}
    for record in records(catalogue.body):
        field = record.fields.get("CATD")
        if field is None or record.number == 1:
            continue
        # FILE, LFIL and VOLM, then the kind of file and a box of four, the checksum, a comment.
        parts = field[_HEAD_COUNT:].split(_PART)
        if len(parts) < _PARTS or not field.startswith(b"CD"):
            raise record.damage("its field CATD does not hold what a catalogue says of a file")
        name = parts[0].decode("latin-1").replace("\\", "/").rpartition("/")[2].upper()
        digits = parts[_CHECKSUM].strip()
        if digits and not _HEX.fullmatch(digits):
            raise record.damage(f"{digits!r} stands where a checksum does")
        found[name] = int(digits, 16) if digits else None
    return found


def held_against(
    files: Iterable[GivenFile], catalogues: Iterable[GivenFile]
) -> tuple[list[GivenFile], list[FileLine]]:
    """Return the files that no catalogue says to be otherwise, and what is said of the others.

    Parameters
    ----------
    files : iterable of GivenFile
        Cells and updates.
    catalogues : iterable of GivenFile
        The catalogues given with them; with none all files come back.
    """
    kept, lines = list(files), []
    for catalogue in catalogues:
        try:
            stated = checksums_of(catalogue)
        except UnreadableFile as error:
            words = f"it cannot be read, so that no file was held against it: {error}"
            lines.append(_line(catalogue, "refused", words))
            continue
        bad = [one for one in kept if _differs(one, stated)]
        lines += [_line(one, "refused", _words(one, stated)) for one in bad]
        kept = [one for one in kept if one not in bad]
        lines.append(_line(catalogue, "left out", _said(kept, bad, stated)))
    return kept, lines


def _name(file: GivenFile) -> str:
    """Return the name of a file as a catalogue has it."""
    return file.name.replace("\\", "/").rpartition("/")[2].upper()


def _differs(file: GivenFile, stated: Mapping[str, int | None]) -> bool:
    """Return whether a file is not the one that a catalogue names."""
    checksum = stated.get(_name(file))
    return checksum is not None and zlib.crc32(file.body) != checksum


def _words(file: GivenFile, stated: Mapping[str, int | None]) -> str:
    """Return in words that a file is not the one that a catalogue names."""
    return (
        f"its checksum is {zlib.crc32(file.body):08X}, and its catalogue states "
        f"{stated[_name(file)]:08X}: it was changed or damaged on its way"
    )


def _said(kept: list[GivenFile], bad: list[GivenFile], stated: Mapping[str, int | None]) -> str:
    """Return what a catalogue said of the files given with it."""
    names = {_name(one) for one in kept}
    agree = sum(stated.get(name) is not None for name in names)
    parts = [f"a catalogue; of the files given {agree} have the checksum it states"]
    if bad:
        parts.append(f"{len(bad)} have another")
    silent = sum(stated.get(name) is None for name in names)
    if silent:
        parts.append(f"of {silent} it states none")
    given = names | {_name(one) for one in bad}
    cells = {name for name in stated if _CELL_FILE.fullmatch(name) and not is_catalogue(name)}
    gone = sorted(cells - given)
    if gone:
        more = f" and {len(gone) - _TOLD} more" if len(gone) > _TOLD else ""
        parts.append(f"it names {', '.join(gone[:_TOLD])}{more}, not given")
    return "; ".join(parts)


def _line(file: GivenFile, fate: str, words: str) -> FileLine:
    """Return what became of a file."""
    return FileLine(name=file.name[-200:], sha256=file.sha256, fate=fate, words=words)
