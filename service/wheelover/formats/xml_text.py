"""Elements as XML text: escaped, its namespaces declared, the same bytes for the same tree.

Elements made here have line 0 and are laid out one below the other; elements that were read keep
their white space, for it may be part of their text.
"""

import re
from collections.abc import Iterator

from wheelover.formats.xml_tree import Element, Name, read_xml

NO_NAMESPACE = "urn:x-wheelover:no-namespace"
"""Stands for no namespace inside a fragment, where no prefix means the vocabulary's own."""

_XML = "http://www.w3.org/XML/1998/namespace"
_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def cleaned(text: str) -> str:
    r"""Return a text with a replacement sign for every character that XML 1.0 cannot hold.

    Examples
    --------
    >>> cleaned("a" + chr(1) + "b")
    'a\ufffdb'
    """
    return _FORBIDDEN.sub("\ufffd", text)


def make(
    name: Name,
    attributes: dict[str, str | None],
    *content: "Element | str",
    scope: dict[str, str] | None = None,
) -> Element:
    """Return an element of ours; attributes that are None are left out."""
    pairs = tuple((("", key), value) for key, value in attributes.items() if value is not None)
    return Element(name=name, attributes=pairs, content=content, line=0, scope=scope or {})


def document(root: Element) -> bytes:
    """Return an element as a whole XML file, UTF-8."""
    text = '<?xml version="1.0" encoding="UTF-8"?>\n' + "".join(_written(root, {"": ""}, 0)) + "\n"
    return text.encode("utf-8")


def fragment(element: Element, vocabulary: str) -> str:
    """Return an element that was read as a text that stands on its own.

    Parameters
    ----------
    element : Element
        The element, from anywhere in a file.
    vocabulary : str
        Namespace of the file's own vocabulary; its names carry no prefix in the fragment, so that
        they can be written into a file of another version.
    """
    uris, values = _used(element)
    uris.discard(vocabulary)
    scope = {
        prefix: uri
        for prefix, uri in element.scope.items()
        if prefix and (uri in uris or any(f"{prefix}:" in value for value in values))
    }
    renamed = {vocabulary: "", "": NO_NAMESPACE if vocabulary else ""}
    return "".join(_written(_moved(element, scope, renamed), {"": ""}, None))


def read_fragment(xml: str, vocabulary: str) -> Element:
    """Return the element of a fragment, its own names in a vocabulary's namespace.

    Raises
    ------
    UnreadableFile
        When it is not well formed or over a limit.
    """
    root = read_xml(xml.encode("utf-8"))
    scope = {prefix: uri for prefix, uri in root.scope.items() if prefix}
    return _moved(root, scope, {"": vocabulary, NO_NAMESPACE: ""})


def _used(element: Element) -> tuple[set[str], list[str]]:
    """Return the namespaces of names in an element, and all its texts and values."""
    uris: set[str] = set()
    values: list[str] = []
    left = [element]
    while left:
        one = left.pop()
        uris.add(one.name[0])
        uris.update(name[0] for name, _ in one.attributes)
        values.extend(value for _, value in one.attributes)
        values.extend(part for part in one.content if isinstance(part, str))
        left.extend(one.elements)
    return uris, values


def _moved(element: Element, scope: dict[str, str], renamed: dict[str, str]) -> Element:
    """Return an element with its names in other namespaces, and only the given declarations."""
    content: list[Element | str] = []
    for part in element.content:
        if isinstance(part, str):
            content.append(part)
            continue
        declared = {
            prefix: uri
            for prefix, uri in part.scope.items()
            if prefix and element.scope.get(prefix) != uri
        }
        content.append(_moved(part, declared, renamed))
    uri, local = element.name
    return Element(
        name=(renamed.get(uri, uri), local),
        attributes=element.attributes,
        content=tuple(content),
        line=element.line,
        scope=scope,
    )


def _written(element: Element, outer: dict[str, str], depth: int | None) -> Iterator[str]:
    """Yield the text of an element; ``depth`` is None where white space must stay as it is."""
    declared = {prefix: uri for prefix, uri in element.scope.items() if outer.get(prefix) != uri}
    scope = {**outer, **declared}
    uri, local = element.name
    prefix = "" if scope[""] == uri else next((p for p, u in scope.items() if p and u == uri), "")
    if not prefix and scope[""] != uri:
        declared[""] = scope[""] = uri
    attributes = [(_attribute(name, scope, declared), value) for name, value in element.attributes]
    for key, value in sorted(declared.items()):
        attributes.append((f"xmlns:{key}" if key else "xmlns", value))
    tag = f"{prefix}:{local}" if prefix else local
    start = f"<{tag}" + "".join(f' {key}="{_value(value)}"' for key, value in attributes)
    if not element.content:
        yield f"{start}/>"
        return
    yield f"{start}>"
    inner = depth + 1 if depth is not None and _is_laid_out(element) else None
    for part in element.content:
        if isinstance(part, str):
            yield _text(part)
            continue
        if inner is not None:
            yield "\n" + "  " * inner
        yield from _written(part, scope, inner)
    if inner is not None:
        yield "\n" + "  " * (inner - 1)
    yield f"</{tag}>"


def _is_laid_out(element: Element) -> bool:
    """Return whether white space may be put between the parts of an element."""
    return element.line == 0 and all(isinstance(part, Element) for part in element.content)


def _attribute(name: Name, scope: dict[str, str], declared: dict[str, str]) -> str:
    """Return the name of an attribute with its prefix, declaring one where there is none."""
    uri, local = name
    if not uri:
        return local
    if uri == _XML:
        return f"xml:{local}"
    prefix = next((p for p, u in scope.items() if p and u == uri), None)
    if prefix is None:
        prefix = next(f"n{number}" for number in range(1, 1000) if f"n{number}" not in scope)
        declared[prefix] = scope[prefix] = uri
    return f"{prefix}:{local}"


def _text(text: str) -> str:
    """Return a text as XML content."""
    text = cleaned(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return text.replace("\r", "&#13;")


def _value(text: str) -> str:
    """Return a text as an attribute's value; line ends and tabs survive only as references."""
    text = _text(text).replace('"', "&quot;")
    return text.replace("\t", "&#9;").replace("\n", "&#10;")
