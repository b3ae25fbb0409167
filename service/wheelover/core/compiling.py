"""How functions become machine code, by numba. What asks for it is ``core/compiled.py``.

They are compiled for the plainest processor of their kind, so that the same inputs give the same
doubles on every machine, and taken from a cache beside their module where one is: set-up fills it,
and nobody waits for a compiler at a request. What is in the cache is used only as long as all that
went into it is the same: the function, those it calls in any module, and the constants of all.
"""

import hashlib
from collections.abc import Callable, Iterator
from functools import cache
from types import CodeType
from typing import Any, cast

import numba
from numba.core.caching import FunctionCache
from numba.core.codegen import JITCodeLibrary
from numba.core.compiler import CompilerBase, DefaultPassBuilder
from numba.core.environment import lookup_environment
from numba.core.registry import CPUDispatcher
from numba.core.types import Dispatcher, unliteral
from numba.extending import typeof_impl

vars(numba.config).update(CPU_NAME="generic", CPU_FEATURES="")


def whole_of(function: Callable[..., Any], signature: str) -> Any:
    """Return a function as machine code for arguments of the given types.

    Parameters
    ----------
    function : callable
        What it is in Python.
    signature : str
        Types of result and arguments in numba's notation. No reordering of arithmetic is allowed,
        and the interpreter's lock is released while the function runs.
    """
    # The stubs of numba do not know all that it takes.
    decorate = cast(Any, numba.njit)(nogil=True, error_model="numpy", no_cfunc_wrapper=True)
    found = decorate(function)
    try:
        found._cache = _Cache(function)  # type: ignore[no-untyped-call]
    except RuntimeError as error:
        # Where every folder is read-only there is no cache: it is compiled at each start.
        if "no locator" not in str(error):
            raise
    found.compile(signature)
    found.disable_compile()
    for whole in found.overloads.values():
        _set_environments(whole.library)
    return found


def part_of(function: Callable[..., Any]) -> Any:
    """Return a function as those that are compiled call it."""
    return _Inlined(function)


@cache
def take_for_code(*classes: type) -> None:
    """Let compiled functions call what is of a class, by its ``code``."""
    for one in classes:
        typeof_impl.register(one)(_type_of)


def _type_of(value: Any, _context: Any) -> Dispatcher:
    """Return what numba takes a function for where another names it."""
    return Dispatcher(value.code)


class _Inlined(CPUDispatcher):
    """A function that is compiled only as a part of those that call it."""

    def __init__(self, function: Callable[..., Any]) -> None:
        wanted = {"nopython": True, "error_model": "numpy"}
        without = {"no_cpython_wrapper": True, "no_cfunc_wrapper": True}
        super().__init__(function, targetoptions=wanted | without, pipeline_class=_PartCompiler)

    def get_call_template(self, args: Any, kws: Any) -> Any:
        """Return how it is called; not compiled once more for every constant that it is given."""
        return super().get_call_template(tuple(map(unliteral, args)), kws)

    def add_overload(self, result: Any) -> None:
        """Keep what is compiled for those that call it."""
        self.overloads[tuple(result.signature.args)] = result

    def _compile_for_args(self, *_args: Any, **_kws: Any) -> Callable[..., Any]:
        """Return what the interpreter runs: a part has no code of its own."""
        return self.py_func


def _set_environments(library: Any) -> None:
    """Give a whole the environments of its parts, from which their errors take values."""
    for variable in library._final_module.global_variables:
        environment = lookup_environment(variable.name)  # type: ignore[no-untyped-call]
        if environment is not None:
            library.codegen.set_env(variable.name, environment)


class _PartCompiler(CompilerBase):
    """Compiles an inlined function as far as ``_Part`` says."""

    def define_pipelines(self) -> list[Any]:
        """Return the usual passes, with another place for what comes of them."""
        codegen, name = self.state.targetctx.codegen(), self.state.func_id.func_qualname
        self.state.library = _Part(codegen, name)  # type: ignore[no-untyped-call]
        passes = DefaultPassBuilder.define_nopython_pipeline(self.state)  # type: ignore[no-untyped-call]
        return [passes]


class _Part(JITCodeLibrary):
    """The code of an inlined function, linked into what calls it.

    It is optimised and made machine code there only. By itself numba does so for each function, and
    once more with everything that calls it, which takes it half as long again.
    """

    @property
    def codegen(self) -> "_Part":
        """Return what is told of environments when code can be run: that is not here."""
        return self

    def set_env(self, name: str, environment: Any) -> None:
        """Do nothing: ``compiled`` sets the environments of the parts of a whole."""

    def add_llvm_module(self, module: Any) -> None:
        """Take a module as it is."""
        module.data_layout = self._codegen._data_layout
        self._final_module.link_in(module)

    def finalize(self) -> None:
        """Link what it calls, and do no more."""
        for library in dict.fromkeys(self._linking_libraries):
            self._reload_init.update(library._reload_init)
            self._final_module.link_in(library._get_module_for_linking(), preserve=True)
        self._finalize_dynamic_globals()  # type: ignore[no-untyped-call]
        self._finalized = True


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
