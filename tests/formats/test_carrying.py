"""Pieces of XML that are kept: whatever stands in them comes back, in any version of the format."""

from hypothesis import given
from hypothesis import strategies as st

from wheelover.formats.xml_text import cleaned, document, fragment, make, read_fragment
from wheelover.formats.xml_tree import Element, read_xml

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=8).map(cleaned)
LOCAL = st.sampled_from(["a", "b", "extension", "leg"])
URIS = st.sampled_from(["", "urn:own", "urn:one", "urn:two"])
ATTRIBUTES = st.dictionaries(
    st.tuples(URIS.filter(lambda uri: uri != "urn:own"), LOCAL), TEXT, max_size=3
)


def _element(name, attributes, content) -> Element:  # type: ignore[no-untyped-def]
    joined: list[Element | str] = []
    for part in content:
        # A reader cannot tell two texts side by side from one, nor an empty text from none.
        if isinstance(part, str) and joined and isinstance(joined[-1], str):
            joined[-1] += part
        elif part:
            joined.append(part)
    pairs = tuple(sorted(attributes.items()))
    return Element(name=name, attributes=pairs, content=tuple(p for p in joined if p), line=1)


TREES = st.recursive(
    st.builds(_element, st.tuples(URIS, LOCAL), ATTRIBUTES, st.just(())),
    lambda inner: st.builds(
        _element,
        st.tuples(URIS, LOCAL),
        ATTRIBUTES,
        st.lists(st.one_of(inner, TEXT), max_size=4),
    ),
    max_leaves=8,
)


def _plain(element: Element) -> object:
    """Return names, values and texts of a tree, without places and prefixes."""
    content = [one if isinstance(one, str) else _plain(one) for one in element.content]
    return element.name, sorted(element.attributes), content


def _renamed(tree: object, old: str, new: str) -> object:
    if isinstance(tree, tuple) and len(tree) == 3:
        (uri, local), attributes, content = tree
        parts = [one if isinstance(one, str) else _renamed(one, old, new) for one in content]
        return (new if uri == old else uri, local), attributes, parts
    return tree


@given(TREES)
def test_a_piece_comes_back_whole(tree: Element) -> None:
    """Read in one version, kept, written into a file of another version, and read again."""
    read = read_xml(document(make(("urn:own", "file"), {}, tree, scope={"": "urn:own"}))).elements[
        0
    ]
    assert _plain(read) == _plain(tree)
    kept = fragment(read, "urn:own")
    later = read_fragment(kept, "urn:later")
    scope = {"": "urn:later", "wo": "urn:ours"}
    file = read_xml(document(make(("urn:later", "file"), {}, later, scope=scope)))
    assert _plain(file.elements[0]) == _renamed(_plain(tree), "urn:own", "urn:later")
    assert fragment(file.elements[0], "urn:later") == kept
