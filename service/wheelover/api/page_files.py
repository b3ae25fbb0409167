"""The files of the page: read once, packed once, and kept by browsers until another version runs.

A page is some hundred modules. Asked for one by one through everything an answer of the API passes,
they cost more of the processor than the plan on them; asked for again at every visit, they cost a
ship's link half a minute.
"""

import gzip
import hashlib
import mimetypes
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path

from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.types import Receive, Scope, Send

from wheelover.api.replies import holds

STATIC = "/static"
LEAFLET = "/vendor/leaflet"
LASTING = "public, max-age=31536000, immutable"
ASKED_ANEW = "no-cache"

_SHORTEST_PACKED = 1024
_PACKED = ("text/", "application/json", "image/svg+xml")


@dataclass(frozen=True)
class _Kept:
    """A file as it is sent."""

    body: bytes
    packed: bytes | None
    tag: str
    media_type: str


class PageFiles:
    """ASGI application: files of a folder, from memory.

    Under ``/v-`` and the version of all of them a file may be kept for a year, since another
    version has another place; under its plain name it is asked for anew each time, by its tag.
    A file that changes on disk is read again.
    """

    def __init__(self, folder: Path) -> None:
        self._paths = {
            path.relative_to(folder).as_posix(): path
            for path in sorted(folder.rglob("*"))
            if path.is_file()
        }

    @cached_property
    def _tags(self) -> dict[str, str]:
        """What each file holds, in a word, in the version that runs."""
        return {name: self._read(name).tag for name in self._paths}

    @cached_property
    def version(self) -> str:
        """What all the files hold, in a word."""
        told = "".join(f"{name}\n{tag}\n" for name, tag in self._tags.items())
        return hashlib.sha256(told.encode()).hexdigest()[:16]

    @property
    def place(self) -> str:
        """Where these files are found under their version."""
        return f"{STATIC}/v-{self.version}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer with a file, or with 404 or 405."""
        if scope["method"] != "GET":
            raise HTTPException(405, headers={"Allow": "GET, HEAD"})
        name = scope["path"].removeprefix(scope.get("root_path", "")).removeprefix("/")
        lasting = False
        if name.startswith("v-"):
            version, _, name = name.partition("/")
            lasting = version == f"v-{self.version}"
        try:
            kept = self._read(name)
        except (KeyError, FileNotFoundError) as error:
            raise HTTPException(404) from error
        # One that has changed since is another version's, which its place does not say.
        lasting = lasting and self._tags.get(name) == kept.tag
        await self._answer(kept, Headers(scope=scope), lasting=lasting)(scope, receive, send)

    def _answer(self, kept: _Kept, asked: Headers, *, lasting: bool) -> Response:
        """Return a file as a browser wants it, or that the browser holds it."""
        headers = {"ETag": kept.tag, "Cache-Control": LASTING if lasting else ASKED_ANEW}
        if kept.packed is not None:
            headers["Vary"] = "Accept-Encoding"
        if holds(asked.get("if-none-match", ""), kept.tag):
            return Response(status_code=304, headers=headers)
        body = kept.body
        if kept.packed is not None and _takes_gzip(asked.get("accept-encoding", "")):
            headers["Content-Encoding"] = "gzip"
            body = kept.packed
        return Response(body, media_type=kept.media_type, headers=headers)

    def _read(self, name: str) -> _Kept:
        """Return a file, read anew only where it has changed."""
        path = self._paths[name]
        found = path.stat()
        return _kept(path, found.st_mtime_ns, found.st_size)


def _takes_gzip(accept_encoding: str) -> bool:
    """Return whether who asks takes a packed answer (RFC 9110, 12.5.3)."""
    for one in accept_encoding.lower().split(","):
        name, _, weight = one.partition(";")
        if name.strip() in ("gzip", "*"):
            return weight.replace(" ", "") not in ("q=0", "q=0.0", "q=0.00", "q=0.000")
    return False


@lru_cache(maxsize=1024)
def _kept(path: Path, _changed_ns: int, _size: int) -> _Kept:
    """Return a file as it is sent; what tells that it has changed is a part of the question."""
    body = path.read_bytes()
    media_type = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
    small = len(body) < _SHORTEST_PACKED or not media_type.startswith(_PACKED)
    return _Kept(
        body=body,
        packed=None if small else gzip.compress(body, 6, mtime=0),
        tag=f'"{hashlib.sha256(body).hexdigest()[:32]}"',
        media_type=media_type,
    )
