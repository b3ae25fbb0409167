"""Functions compiled to machine code for loops that arrays cannot express.

They are compiled for the plainest processor of their kind, so that the same inputs give the same
doubles on every machine, and when their module is imported, from a cache beside it where one is:
set-up fills it, and nobody waits for a compiler at a request.
"""

from collections.abc import Callable
from typing import Any, TypeVar, cast

import numba

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
        try:
            found = numba.njit(signature, cache=True, nogil=True, error_model="numpy")(function)
        except RuntimeError as error:
            if "no locator" not in str(error):
                raise
            # Nowhere to keep it: where every folder is read-only it is compiled at each start.
            found = numba.njit(signature, nogil=True, error_model="numpy")(function)
        return cast(Function, found)

    return compile_it


def inlined(function: Function) -> Function:
    """Return a function that compiled functions may call."""
    return cast(Function, numba.njit(inline="never", error_model="numpy")(function))
