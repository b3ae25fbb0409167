"""Functions compiled to machine code for loops that arrays cannot express.

They are compiled for the plainest processor of their kind, so that the same inputs give the same
doubles on every machine, and when their module is imported, from a cache beside it where one is:
set-up fills it, and nobody waits for a compiler at a request. What is in the cache is used only as
long as all that went into it is the same: the function, those it calls in any module, and the
constants of all.
"""

import hashlib
from collections.abc import Callable, Iterator
from types import CodeType
from typing import Any, TypeVar, cast

import numba
from numba.core.caching import FunctionCache

Function = TypeVar("Function", bound=Callable[..., Any])

vars(numba.config).update(CPU_NAME="generic", CPU_FEATURES="")


def compiled(signature: str) -> Callable[[Function], Function]:
    """Return a decorator that compiles a function for arguments of the given types.

    Parameters
    ----------
    signature : str
        Types of result and arguments in numba's notation. No reordering of arithmetic is allowed,
        and the interpreter's lock is released while the function runs.
    """

    def compile_it(function: Function) -> Function:
        found: Any = numba.njit(nogil=True, error_model="numpy")(function)
        try:
            found._cache = _Cache(function)  # type: ignore[no-untyped-call]
        except RuntimeError as error:
            # Where every folder is read-only there is no cache: it is compiled at each start.
            if "no locator" not in str(error):
                raise
        found.compile(signature)
        found.disable_compile()
        return cast(Function, found)

    return compile_it


def inlined(function: Function) -> Function:
    """Return a function that compiled functions may call."""
    return cast(Function, numba.njit(inline="never", error_model="numpy")(function))


@inlined
def copy_over(target: Any, source: Any) -> None:
    """Write a column over the first numbers of another that is not shorter.

    Compiled code that assigns a slice carries the text of an error of shapes, which takes a
    compiler seconds.
    """
    for place in range(source.size):
        target[place] = source[place]


class _Cache(FunctionCache):
    """The cache of numba, which by itself looks at one function and its file and at no other."""

    def _index_key(self, signature: Any, codegen: Any) -> tuple[Any, ...]:
        """Return what a compiled function is found by, with what else went into it."""
        plain = super()._index_key(signature, codegen)  # type: ignore[no-untyped-call]
        return (*plain, fingerprint(self._py_func))


def fingerprint(function: Callable[..., Any]) -> str:
    """Return a digest of a function, of the compiled functions it calls, and of their constants."""
    digest = hashlib.sha256()
    for part in _parts(function, set()):
        digest.update(part)
        digest.update(b"\0")
    return digest.hexdigest()


def _parts(function: Callable[..., Any], seen: set[int]) -> Iterator[bytes]:
    """Yield code and constants of a function and, once each, of the compiled ones it calls."""
    seen.add(id(function))
    code = function.__code__
    yield code.co_code
    yield repr([one for one in code.co_consts if not isinstance(one, CodeType)]).encode()
    for name in code.co_names:
        value = function.__globals__.get(name)
        called = getattr(value, "py_func", None)
        if called is not None and id(called) not in seen:
            yield from _parts(called, seen)
        elif isinstance(value, bool | int | float | str | tuple):
            yield repr((name, value)).encode()
