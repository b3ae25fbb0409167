"""The files of an import: those that were given, and those in a zip among them.

Names are only names: nothing is ever written under one. What a zip says of its sizes is not
believed; what comes out of it is counted.
"""

import io
import re
import zipfile
from collections.abc import Iterable
from dataclasses import dataclass

from wheelover.charts.catalogue import is_catalogue
from wheelover.charts.s57 import FileLine, GivenFile
from wheelover.core.errors import UnreadableFile

MB = 1024 * 1024
MOST_FILE_BYTES = 16 * MB
MOST_ZIP_BYTES = 200 * MB
MOST_ZIP_FILES = 2000
MOST_RATIO = 100

_CELL_FILE = re.compile(r"[^.]*\.\d{3}", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class Unpacked:
    """Files that may be cells and updates, their catalogues, and what is said of the others."""

    files: tuple[GivenFile, ...]
    lines: tuple[FileLine, ...]
    catalogues: tuple[GivenFile, ...] = ()


def unpacked(given: Iterable[GivenFile]) -> Unpacked:
    """Return files with what is in a zip in its place.

    Parameters
    ----------
    given : iterable of GivenFile
        As they came.
    """
    files: list[GivenFile] = []
    lines: list[FileLine] = []
    for one in given:
        if not zipfile.is_zipfile(io.BytesIO(one.body)):
            if len(one.body) > MOST_FILE_BYTES:
                words = f"it has {len(one.body)} bytes, {MOST_FILE_BYTES} at most"
                lines.append(_line(one, "refused", words))
            else:
                files.append(one)
            continue
        try:
            inside = _inside(one)
        except UnreadableFile as error:
            lines.append(_line(one, "refused", str(error)))
            continue
        for file in inside:
            name = file.name.rpartition("/")[2]
            if _CELL_FILE.fullmatch(name):
                files.append(file)
            else:
                lines.append(_line(file, "left out", "it is not a cell or an update of one"))
    return Unpacked(
        files=tuple(one for one in files if not is_catalogue(_shown(one.name))),
        lines=tuple(lines),
        catalogues=tuple(one for one in files if is_catalogue(_shown(one.name))),
    )


def _line(file: GivenFile, fate: str, words: str) -> FileLine:
    """Return what became of a file."""
    return FileLine(name=file.name[-200:], sha256=file.sha256, fate=fate, words=words)


def _inside(packed: GivenFile) -> list[GivenFile]:
    """Return the files in a zip; more than it may hold is refused as a whole."""
    found: list[GivenFile] = []
    left = min(MOST_ZIP_BYTES, MOST_RATIO * len(packed.body))
    try:
        with zipfile.ZipFile(io.BytesIO(packed.body)) as archive:
            entries = [one for one in archive.infolist() if not one.is_dir()]
            if len(entries) > MOST_ZIP_FILES:
                raise UnreadableFile(f"it holds {len(entries)} files, {MOST_ZIP_FILES} at most")
            for entry in entries:
                most = min(left, MOST_FILE_BYTES)
                with archive.open(entry) as opened:
                    body = opened.read(most + 1)
                if len(body) > most:
                    raise UnreadableFile(
                        f"{entry.filename[-100:]} in it is larger than {MOST_FILE_BYTES // MB} MB, "
                        f"or all in it more than {MOST_RATIO} times the zip"
                    )
                left -= len(body)
                found.append(GivenFile(name=_shown(entry.filename), body=body))
    except UnreadableFile:
        raise
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, OSError, ValueError) as error:
        raise UnreadableFile(f"the zip cannot be unpacked ({error})") from error
    except Exception as error:  # zlib, lzma and bz2 have errors of their own
        raise UnreadableFile(f"the zip cannot be unpacked ({type(error).__name__})") from error
    return found


def _shown(name: str) -> str:
    """Return the name of a file in a zip without its folders."""
    return name.replace("\\", "/").rpartition("/")[2][-200:] or "file without a name"
