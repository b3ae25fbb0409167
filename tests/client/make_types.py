"""Making the types of the client's answers from the description of the service.

``PYTHONPATH=service python -m tests.client.make_types`` writes them to the client's
``types.py``; a test holds what is there against what this gives.
"""

import keyword
from pathlib import Path
from typing import Any

from wheelover.api import create_app

PLACE = Path(__file__).parents[2] / "service" / "wheelover" / "client" / "types.py"
ROOTS = (
    "RevisionState",
    "ConflictList",
    "ThreadOut",
    "ExplanationOut",
    "ParcelOut",
    "ParcelTaken",
    "PeerOut",
    "SyncOut",
)
_HEAD = '''"""What the service answers as types, made by ``tests.client.make_types``."""

from typing import Any, Literal, TypedDict
'''
_PLAIN = {"string": "str", "integer": "int", "number": "float", "boolean": "bool", "null": "None"}

Schema = dict[str, Any]


def source(description: Schema) -> str:
    """Return the module for a description."""
    schemas: dict[str, Schema] = description["components"]["schemas"]
    needed, left = list[str](), list(ROOTS)
    while left:
        name = left.pop(0)
        if name not in needed:
            needed.append(name)
            left += _names_in(schemas[name])
    return _HEAD + "".join(_class(name, schemas[name]) for name in sorted(needed))


def _names_in(value: Any) -> list[str]:
    """Return the models that a schema speaks of."""
    if isinstance(value, list):
        return [name for one in value for name in _names_in(one)]
    if not isinstance(value, dict):
        return []
    here = [value["$ref"].rpartition("/")[2]] if "$ref" in value else []
    return here + [name for one in value.values() for name in _names_in(one)]


def _class(name: str, schema: Schema) -> str:
    """Return a model as a class."""
    properties: dict[str, Schema] = schema["properties"]
    required = set(schema.get("required", ()))
    words = " ".join(str(schema.get("description", name)).split())
    lines = [
        f"\n\nclass {name}(TypedDict{'' if required >= set(properties) else ', total=False'}):"
    ]
    lines += [f'    """{_filled(words)}"""', ""]
    for member, of in properties.items():
        if keyword.iskeyword(member):
            raise ValueError(f"{name}.{member} cannot be a member of a class")
        lines.append(f"    {member}: {_type(of)}")
    return "\n".join(lines) + "\n"


def _filled(words: str) -> str:
    """Return a docstring in lines of a hundred."""
    import textwrap  # noqa: PLC0415

    short = textwrap.wrap(words, 90)
    first, rest = short[0], short[1:]
    return first if not rest else "\n    ".join([first, *rest, ""])


def _type(schema: Schema) -> str:
    """Return the type of a member."""
    if "$ref" in schema:
        return f'"{schema["$ref"].rpartition("/")[2]}"'
    if "anyOf" in schema:
        kinds = [_type(one) for one in schema["anyOf"]]
        if any(one.startswith('"') for one in kinds):
            inner = " | ".join(one.strip('"') for one in kinds)
            return f'"{inner}"'
        return " | ".join(kinds)
    if "enum" in schema or "const" in schema:
        values = schema.get("enum", [schema.get("const")])
        return f"Literal[{', '.join(_quoted(one) for one in values)}]"
    kind = schema.get("type")
    if kind == "array":
        return f"list[{_type(schema.get('items', {}))}]"
    if kind == "object":
        return "dict[str, Any]"
    return _PLAIN.get(str(kind), "Any")


def _quoted(value: Any) -> str:
    """Return a text in the quotes of this house."""
    return f'"{value}"' if isinstance(value, str) else repr(value)


def formatted(text: str) -> str:
    """Return source as the formatter of this house leaves it."""
    import subprocess  # noqa: PLC0415
    import sys  # noqa: PLC0415

    command = [sys.executable, "-m", "ruff", "format", "--stdin-filename", str(PLACE), "-"]
    return subprocess.run(
        command, input=text, capture_output=True, text=True, check=True, cwd=PLACE.parents[3]
    ).stdout


if __name__ == "__main__":
    PLACE.write_text(formatted(source(create_app().openapi())))
