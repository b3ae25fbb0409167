"""Functions that run as machine code, for loops that arrays cannot express.

They become it when they are first called, or when ``load_all`` is: a start of the service waits for
no machine code, and loads it beside its first requests. How they become it: ``core/compiling.py``.
"""

import threading
from collections.abc import Callable
from types import ModuleType
from typing import Any, TypeVar, cast

Function = TypeVar("Function", bound=Callable[..., Any])

_LOCK = threading.RLock()
"""One lock for all: what is compiled asks for the parts that it calls."""


class Whole:
    """A function that is machine code from its first call on."""

    def __init__(self, function: Callable[..., Any], signature: str) -> None:
        self.py_func = function
        self.__doc__ = function.__doc__
        self.__name__ = function.__name__
        self._signature = signature
        self._code: Any = None

    @property
    def code(self) -> Any:
        """Return the machine code, loaded or compiled where it is not there yet."""
        if self._code is None:
            with _LOCK:
                if self._code is None:
                    self._code = _compiling().whole_of(self.py_func, self._signature)
        return self._code

    def __call__(self, *args: Any) -> Any:
        """Run it."""
        return (self._code or self.code)(*args)


class Part:
    """A function that is compiled only as a part of those that call it."""

    def __init__(self, function: Callable[..., Any]) -> None:
        self.py_func = function
        self.__doc__ = function.__doc__
        self.__name__ = function.__name__
        self._code: Any = None

    @property
    def code(self) -> Any:
        """Return what those that are compiled call."""
        if self._code is None:
            with _LOCK:
                if self._code is None:
                    self._code = _compiling().part_of(self.py_func)
        return self._code

    def __call__(self, *args: Any) -> Any:
        """Run it as the interpreter does: a part has no code of its own."""
        return self.py_func(*args)


def _compiling() -> ModuleType:
    """Return the module that compiles, which takes half a second to load."""
    from wheelover.core import compiling  # noqa: PLC0415

    compiling.take_for_code(Part, Whole)
    return compiling


_WHOLES: list[Whole] = []


def compiled(signature: str) -> Callable[[Function], Function]:
    """Return a decorator that lets a function run as machine code for arguments of given types.

    Parameters
    ----------
    signature : str
        Types of result and arguments in numba's notation. No reordering of arithmetic is allowed,
        and the interpreter's lock is released while the function runs.
    """

    def note(function: Function) -> Function:
        whole = Whole(function, signature)
        _WHOLES.append(whole)
        return cast(Function, whole)

    return note


def inlined(function: Function) -> Function:
    """Return a function that compiled functions may call; called by others it is as it was."""
    return cast(Function, Part(function))


def load_all() -> int:
    """Load, or compile where no cache has it, all functions of the modules that are imported.

    Returns
    -------
    int
        How many there are.
    """
    for whole in _WHOLES:
        whole.code  # noqa: B018  loads it
    return len(_WHOLES)


@inlined
def copy_over(target: Any, source: Any) -> None:
    """Write a column over the first numbers of another that is not shorter.

    Compiled code that assigns a slice carries the text of an error of shapes, which takes a
    compiler seconds.
    """
    for place in range(source.size):
        target[place] = source[place]
