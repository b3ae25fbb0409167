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
    def version(self) -> str:
        """What all the files hold, in a word."""
        digest = hashlib.sha256()
        for name in self._paths:
            digest.update(f"{name}\n{self._read(name).tag}\n".encode())
        return digest.hexdigest()[:16]

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
        if name not in self._paths:
            raise HTTPException(404)
        await self._answer(self._read(name), Headers(scope=scope), lasting=lasting)(
            scope, receive, send
        )

    def _answer(self, kept: _Kept, asked: Headers, *, lasting: bool) -> Response:
        """Return a file as a browser wants it, or that the browser holds it."""
        headers = {"ETag": kept.tag, "Cache-Control": LASTING if lasting else ASKED_ANEW}
        if kept.packed is not None:
            headers["Vary"] = "Accept-Encoding"
        if holds(asked.get("if-none-match", ""), kept.tag):
            return Response(status_code=304, headers=headers)
        body = kept.body
        if kept.packed is not None and "gzip" in asked.get("accept-encoding", ""):
            headers["Content-Encoding"] = "gzip"
            body = kept.packed
        return Response(body, media_type=kept.media_type, headers=headers)

    def _read(self, name: str) -> _Kept:
        """Return a file, read anew only where it has changed."""
        path = self._paths[name]
        found = path.stat()
        return _kept(path, found.st_mtime_ns, found.st_size)


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
