"""PostgreSQL's own client library by ctypes: binary results without a further dependency."""

import ctypes
import ctypes.util
from types import TracebackType

_CONNECTION_OK = 0
_COMMAND_OK, _TUPLES_OK, _COPY_IN = 1, 2, 4
_CHUNK = 1 << 24


class DatabaseFault(RuntimeError):
    """The server refused something; the message is its own."""


def library_name() -> str | None:
    """Return the name of the client library, None where it is not installed."""
    return ctypes.util.find_library("pq")


def _library() -> ctypes.CDLL:
    """Return the client library with the types of what is called in it."""
    name = library_name()
    if name is None:
        raise DatabaseFault("libpq is not installed; it comes with postgresql-client")
    lib = ctypes.CDLL(name)
    handle, text, number = ctypes.c_void_p, ctypes.c_char_p, ctypes.c_int
    for function, returned, given in (
        ("PQconnectdb", handle, [text]),
        ("PQstatus", number, [handle]),
        ("PQerrorMessage", text, [handle]),
        ("PQfinish", None, [handle]),
        ("PQexec", handle, [handle, text]),
        ("PQexecParams", handle, [handle, text, number, *[handle] * 4, number]),
        ("PQresultStatus", number, [handle]),
        ("PQntuples", number, [handle]),
        ("PQnfields", number, [handle]),
        ("PQgetlength", number, [handle, number, number]),
        ("PQgetvalue", handle, [handle, number, number]),
        ("PQclear", None, [handle]),
        ("PQputCopyData", number, [handle, text, number]),
        ("PQputCopyEnd", number, [handle, text]),
        ("PQgetResult", handle, [handle]),
    ):
        called = getattr(lib, function)
        called.restype, called.argtypes = returned, given
    return lib


class Connection:
    """One session with a server; close it, or use it in a ``with``."""

    def __init__(self, where: str) -> None:
        """Connect.

        Parameters
        ----------
        where : str
            Keywords and values as the client library reads them.

        Raises
        ------
        DatabaseFault
            When there is no connection.
        """
        self._lib = _library()
        self._handle = self._lib.PQconnectdb(where.encode())
        if self._lib.PQstatus(self._handle) != _CONNECTION_OK:
            fault = self._fault()
            self.close()
            raise fault

    def __enter__(self) -> "Connection":
        """Return itself."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Close."""
        self.close()

    def close(self) -> None:
        """End the session."""
        if self._handle:
            self._lib.PQfinish(self._handle)
            self._handle = None

    def _fault(self) -> DatabaseFault:
        """Return what the server said."""
        return DatabaseFault(self._lib.PQerrorMessage(self._handle).decode().strip())

    def run(self, statement: str) -> None:
        """Run statements whose answer is not wanted.

        Raises
        ------
        DatabaseFault
            When the server refuses one.
        """
        self._finished(self._lib.PQexec(self._handle, statement.encode()))

    def _finished(self, result: int) -> None:
        """Let go of a result; raise when it is a refusal."""
        status = self._lib.PQresultStatus(result)
        self._lib.PQclear(result)
        if status not in (_COMMAND_OK, _TUPLES_OK):
            raise self._fault()

    def row(self, statement: str) -> tuple[bytes, ...]:
        """Return the first row of an answer, each value in the server's binary form.

        Raises
        ------
        DatabaseFault
            When the server refuses the statement, or no row comes.
        """
        lib = self._lib
        result = lib.PQexecParams(self._handle, statement.encode(), 0, None, None, None, None, 1)
        if lib.PQresultStatus(result) != _TUPLES_OK or lib.PQntuples(result) < 1:
            lib.PQclear(result)
            raise self._fault()
        row = tuple(
            ctypes.string_at(lib.PQgetvalue(result, 0, field), lib.PQgetlength(result, 0, field))
            for field in range(lib.PQnfields(result))
        )
        lib.PQclear(result)
        return row

    def copy_in(self, statement: str, content: bytes) -> None:
        """Send content to a ``COPY ... FROM STDIN``.

        Raises
        ------
        DatabaseFault
            When the server refuses it.
        """
        result = self._lib.PQexec(self._handle, statement.encode())
        status = self._lib.PQresultStatus(result)
        self._lib.PQclear(result)
        if status != _COPY_IN:
            raise self._fault()
        for at in range(0, len(content), _CHUNK):
            part = content[at : at + _CHUNK]
            if self._lib.PQputCopyData(self._handle, part, len(part)) != 1:
                raise self._fault()
        if self._lib.PQputCopyEnd(self._handle, None) != 1:
            raise self._fault()
        while result := self._lib.PQgetResult(self._handle):
            self._finished(result)
