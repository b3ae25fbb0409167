"""The rows of every table as lines of JSON, the same from either engine."""

import base64
import hashlib
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import orjson
from sqlalchemy import Connection, MetaData, String, Table, select, text

from wheelover.core.errors import Damaged

_AT_ONCE_COUNT = 50
_BYTES = "b64"
_KINDS = (str, int, bool, float, bytes)
_OF_EXTENSIONS = """
SELECT c.relname FROM pg_class c JOIN pg_depend d ON d.objid = c.oid AND d.deptype = 'e'
WHERE c.relkind IN ('r', 'p')
"""
_SCHEMA_TABLE = "alembic_version"


@dataclass(frozen=True, slots=True, kw_only=True)
class Total:
    """What a table holds: its rows, and the sha256 of their lines in order of the key."""

    rows: int
    sha256: str


def tables_in(connection: Connection) -> list[Table]:
    """Return the tables of a database as it has them, by name; not what extensions brought.

    Which they are is asked of the database and not of this version, so that a store of any
    version can be copied.
    """
    found = MetaData()
    found.reflect(connection)
    if connection.dialect.name == "postgresql":
        foreign = set(connection.execute(text(_OF_EXTENSIONS)).scalars())
    else:
        foreign = set()
    skipped = foreign | {_SCHEMA_TABLE}
    return [found.tables[name] for name in sorted(found.tables) if name not in skipped]


def lines_of(connection: Connection, table: Table) -> Iterator[bytes]:
    """Give the rows of a table in order of its key, each as one line of JSON.

    Raises
    ------
    Damaged
        For a blob that is not what its digest says.
    TypeError
        For a column of a kind that has no place in a line.
    """
    for column in table.columns:
        if column.type.python_type not in _KINDS:
            raise TypeError(f"{table.name}.{column.name} is of a kind that has no line")
    query = select(table).order_by(*_key_of(connection, table))
    with connection.execute(query, execution_options={"yield_per": _AT_ONCE_COUNT}) as rows:
        for row in rows:
            if table.name == "blob":
                _require_sound(row)
            yield orjson.dumps(tuple(row), default=_bytes_as_text, option=orjson.OPT_APPEND_NEWLINE)


def values_in(line: list[Any]) -> list[Any]:
    """Return the values of a row from its line."""
    return [
        base64.b64decode(one[_BYTES], validate=True) if isinstance(one, dict) else one
        for one in line
    ]


def total_of(connection: Connection, table: Table) -> Total:
    """Return what a table holds."""
    digest, count = hashlib.sha256(), 0
    for line in lines_of(connection, table):
        digest.update(line)
        count += 1
    return Total(rows=count, sha256=digest.hexdigest())


def _key_of(connection: Connection, table: Table) -> list[Any]:
    """Return the key that rows are ordered by: text by its code points, whatever the language."""
    keys: list[Any] = list(table.primary_key.columns)
    if connection.dialect.name != "postgresql":
        return keys
    return [one.collate("C") if isinstance(one.type, String) else one for one in keys]


def _bytes_as_text(value: Any) -> dict[str, str]:
    """Return bytes as a member that no other kind of column makes."""
    if not isinstance(value, bytes):
        raise TypeError(f"{type(value).__name__} has no place in a line")
    return {_BYTES: base64.b64encode(value).decode()}


def _require_sound(row: Any) -> None:
    """Hold a blob against its digest."""
    try:
        body = zlib.decompress(row.body)
    except zlib.error as error:
        raise Damaged(f"what is kept under {row.sha256} cannot be unpacked") from error
    if hashlib.sha256(body).hexdigest() != row.sha256:
        raise Damaged(f"what is kept under {row.sha256} has another digest")
