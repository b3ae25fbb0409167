"""XML as a tree of plain values, read so that no file can make the reader work without bound.

Refused: any document type declaration and so every entity of a file's own, nesting deeper than
any route file, attributes and numbers of elements beyond any route file, and text in an encoding
that is not one of five. Comments and processing instructions carry no data and are left out.
"""

import re
from dataclasses import dataclass, field
from typing import TypeAlias

from defusedxml.common import DefusedXmlException  # type: ignore[import-untyped]
from defusedxml.ElementTree import ParseError, XMLParser  # type: ignore[import-untyped]

from wheelover.core.errors import Fault, UnreadableFile

MOST_BYTES = 5_000_000
MOST_DEPTH = 32
MOST_ATTRIBUTE = 16_384
MOST_PREFIXES = 64
MOST_SCOPED = 200_000
MOST_ATTRIBUTES = 200
MOST_ELEMENTS = 200_000
LONGEST_RAW = 4_000

SPACE = " \t\r\n"
"""What XML calls white space."""

_ENCODINGS = {
    "utf-8": "utf-8-sig",
    "utf-16": "utf-16",
    "us-ascii": "ascii",
    "iso-8859-1": "iso-8859-1",
    "windows-1252": "windows-1252",
}
_DECLARED = re.compile(rb"""<\?xml[^>]*?encoding\s*=\s*["']([A-Za-z0-9._-]{1,40})["']""")
_UTF16_MARKS = (b"\xff\xfe", b"\xfe\xff")

Name: TypeAlias = tuple[str, str]
"""Namespace, empty for none, and local name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Element:
    """One element: its name, attributes and content, and where in the file it began.

    ``scope`` holds the prefixes that are declared here, with their namespaces; ``raw`` is the
    element's own text in the file.
    """

    name: Name
    attributes: tuple[tuple[Name, str], ...] = ()
    content: tuple["Element | str", ...] = ()
    line: int = 1
    scope: dict[str, str] = field(default_factory=dict)
    raw: str = ""

    @property
    def local(self) -> str:
        """Return the name without its namespace."""
        return self.name[1]

    @property
    def elements(self) -> tuple["Element", ...]:
        """Return the elements inside, in order."""
        return tuple(one for one in self.content if isinstance(one, Element))

    def named(self, local: str) -> tuple["Element", ...]:
        """Return the elements inside of that name and this element's namespace."""
        wanted = (self.name[0], local)
        return tuple(one for one in self.elements if one.name == wanted)

    def attribute(self, local: str) -> str | None:
        """Return an attribute without a namespace, None when it is not there."""
        return next((value for name, value in self.attributes if name == ("", local)), None)

    @property
    def text(self) -> str:
        """Return its own text, without that of elements inside it."""
        return "".join(one for one in self.content if isinstance(one, str))


def looks_like_xml(body: bytes) -> bool:
    r"""Return whether the first sign of a file is that of XML.

    Examples
    --------
    >>> looks_like_xml(b" <gpx/>"), looks_like_xml(b"lat,lon"), looks_like_xml(b"\xff\xfe<\x00")
    (True, False, True)
    """
    if body[:2] in _UTF16_MARKS:
        return b"<" in body[2:40]
    return body.removeprefix(b"\xef\xbb\xbf").lstrip()[:1] == b"<"


def read_xml(body: bytes) -> Element:
    """Return the root element of an XML text.

    Parameters
    ----------
    body : bytes
        The file, at most 5 MB.

    Raises
    ------
    UnreadableFile
        With line and column where the text is not well formed or goes over a limit.

    Examples
    --------
    >>> read_xml(b"<a b='1'><c/></a>").named("c")[0].name
    ('', 'c')
    """
    if len(body) > MOST_BYTES:
        raise refused(f"{len(body)} bytes, over the limit of {MOST_BYTES}")
    # XML allows nothing before its declaration, but a blank line there harms nobody.
    source = _decoded(body).lstrip(SPACE).encode("utf-8")
    skipped = body[: len(body) - len(body.lstrip())].count(b"\n")
    builder = _Builder(source, skipped)
    parser = XMLParser(target=builder, encoding="utf-8", forbid_dtd=True)
    builder.listen_to(parser.parser)
    try:
        parser.feed(source)
        root = parser.close()
    except ParseError as error:
        line, column = error.position
        what = str(error).partition(": line")[0]
        raise refused(f"not well formed, {what}", line + skipped, column + 1) from error
    except DefusedXmlException as error:
        what = "a document type declaration (DOCTYPE) is not read here, nor entities of its own"
        raise refused(what, *builder.place) from error
    if not isinstance(root, Element):
        raise refused("it holds no element")
    return root


def refused(what: str, line: int | None = None, column: int | None = None) -> UnreadableFile:
    """Return the error of an XML text that is not read, with its place where that is known."""
    place = "" if line is None else f", line {line}" + (f" column {column}" if column else "")
    return UnreadableFile(f"XML: {what}{place}", (Fault(line=line, column=column, message=what),))


def _decoded(body: bytes) -> str:
    """Return the text of a file in the encoding it says it has."""
    declared = _DECLARED.search(body[:200])
    name = "utf-8" if declared is None else declared[1].decode("ascii").lower()
    if body[:2] in _UTF16_MARKS:
        name = "utf-16"
    elif name == "utf-16":
        raise refused("it declares UTF-16 and does not begin with a byte order mark", 1)
    if name not in _ENCODINGS:
        raise refused(f"encoding {name!r} is not read; save the file as UTF-8", 1)
    try:
        return body.decode(_ENCODINGS[name])
    except UnicodeDecodeError as error:
        line = body[: error.start].count(b"\n") + 1
        raise refused(f"a byte here is not {name.upper()} text", line) from error


@dataclass(slots=True)
class _Open:
    """An element whose end has not come yet."""

    name: Name
    attributes: tuple[tuple[Name, str], ...]
    scope: dict[str, str]
    line: int
    start_index: int
    content: list[Element | str] = field(default_factory=list)


class _Builder:
    """Builds elements bottom up, and counts."""

    def __init__(self, source: bytes, skipped_count: int) -> None:
        self._source = source
        self._skipped_count = skipped_count
        self._open: list[_Open] = []
        self._declared: dict[str, str] = {}
        self._element_count = 0
        self._scoped_count = 0
        self._root: Element | None = None

    def listen_to(self, expat: "object") -> None:
        """Take the places of elements and the prefixes declared at them from the parser."""
        self._expat = expat
        expat.StartNamespaceDeclHandler = self._declare  # type: ignore[attr-defined]

    @property
    def place(self) -> tuple[int, int]:
        """Return line and column, from 1, of what is being read."""
        expat = self._expat
        line: int = expat.CurrentLineNumber + self._skipped_count  # type: ignore[attr-defined]
        column: int = expat.CurrentColumnNumber + 1  # type: ignore[attr-defined]
        return line, column

    def _declare(self, prefix: str | None, uri: str | None) -> None:
        """Note a namespace declaration; the element it stands in starts next."""
        self._declared[prefix or ""] = uri or ""
        if len(self._declared) > MOST_PREFIXES:
            raise refused(f"over {MOST_PREFIXES} namespaces declared at one element", *self.place)

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """Open an element."""
        self._element_count += 1
        name = _split(tag)
        if len(self._open) >= MOST_DEPTH:
            raise refused(f"element {name[1]!r} is nested deeper than {MOST_DEPTH}", *self.place)
        if self._element_count > MOST_ELEMENTS or len(attributes) > MOST_ATTRIBUTES:
            raise refused(
                f"over the limit of {MOST_ELEMENTS} elements or {MOST_ATTRIBUTES} attributes of "
                f"one, at element {name[1]!r}",
                *self.place,
            )
        for attribute, value in attributes.items():
            if len(value) > MOST_ATTRIBUTE:
                what = f"attribute {_split(attribute)[1]!r} of element {name[1]!r} is longer than"
                raise refused(f"{what} {MOST_ATTRIBUTE} characters", *self.place)
        outer = self._open[-1].scope if self._open else {}
        scope = self._scope(outer)
        pairs = tuple((_split(key), value) for key, value in attributes.items())
        start_index: int = self._expat.CurrentByteIndex  # type: ignore[attr-defined]
        self._open.append(_Open(name, pairs, scope, self.place[0], start_index))

    def _scope(self, outer: dict[str, str]) -> dict[str, str]:
        """Return the namespaces an element stands in: those around it and its own.

        Each element that declares one holds a list of them all, so the lists are counted together.
        """
        if not self._declared:
            return outer
        scope = {**outer, **self._declared}
        self._declared = {}
        self._scoped_count += len(scope)
        if self._scoped_count > MOST_SCOPED:
            raise refused("too many namespaces are declared in the file", *self.place)
        return scope

    def data(self, text: str) -> None:
        """Add text to the open element; the parser gives it in pieces."""
        if self._open:
            content = self._open[-1].content
            if content and isinstance(content[-1], str):
                text = content.pop() + text  # type: ignore[operator]
            content.append(text)

    def end(self, _tag: str) -> None:
        """Close the open element."""
        done = self._open.pop()
        element = Element(
            name=done.name,
            attributes=done.attributes,
            content=tuple(done.content),
            line=done.line,
            scope=done.scope,
            raw=self._raw(done.start_index),
        )
        if self._open:
            self._open[-1].content.append(element)
        else:
            self._root = element

    def _raw(self, start_index: int) -> str:
        """Return the text of an element that ends here, cut where it is very long."""
        if len(self._open) > 2:
            # Nobody asks for the text of what stands deeper than a waypoint.
            return ""
        end_index: int = self._expat.CurrentByteIndex  # type: ignore[attr-defined]
        if self._source[end_index : end_index + 2] == b"</":
            end_index = self._source.find(b">", end_index) + 1
        cut = self._source[start_index : min(end_index, start_index + LONGEST_RAW)]
        more = " ..." if end_index - start_index > LONGEST_RAW else ""
        return cut.decode("utf-8", "ignore") + more

    def close(self) -> Element | None:
        """Return the root."""
        return self._root


def _split(tag: str) -> Name:
    """Return a name as the parser writes it, parted."""
    uri, brace, local = tag.rpartition("}")
    return (uri[1:], local) if brace else ("", tag)
