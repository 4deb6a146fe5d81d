"""Loops compiled by numba, kept on disk between runs where there is a place for it: never a reason not to run."""

from __future__ import annotations

import contextlib
import importlib
import re
import sys
from collections.abc import Callable
from types import ModuleType
from typing import Any

import numba
from numba.core.runtime.nrt import rtsys as runtime

from pourwright import caches

Loop = Callable[..., Any]
_numba: Any = numba  # older versions have no stubs, newer ones say little of what is used here


def njit(*, cache: bool = False, **options: Any) -> Callable[[Loop], Loop]:
    """Compile a function, as ``numba.njit`` with the same options does.

    Parameters
    ----------
    cache : bool
        Whether to keep what is compiled: beside the source, in the user's cache, in a temporary folder, or nowhere,
        whichever is the first that can be written.
    """

    def compiled(function: Loop) -> Loop:
        made: Any = _numba.njit(**options)(function)
        if cache and hasattr(made, "enable_caching"):  # not where numba is switched off
            _keep(made)
        loop: Loop = made
        return loop

    return compiled


def _keep(made: Any) -> None:
    folder = None
    if not _kept(made) and not _numba.config.CACHE_DIR:
        folder = caches.temporary()
    if folder is not None:
        _numba.config.CACHE_DIR = str(folder / "numba")
        if not _kept(made):
            _numba.config.CACHE_DIR = ""


def _kept(made: Any) -> bool:
    try:
        made.enable_caching()
    except (RuntimeError, OSError):  # what numba raises where it finds no place
        return False
    _forgive(made._cache)
    return True


def _forgive(cache: Any) -> None:
    """A disk that is full, or from which the cache has gone, is no error: the loop is compiled again.

    What is read back is run as it is. numba would first make its whole compiler ready, at 0.4 s a command; a loop that
    is not found does that for itself when it is compiled.
    """
    load, save = cache.load_overload, cache.save_overload
    found = getattr(cache, "_load_overload", None)

    def load_overload(signature: Any, target: Any) -> Any:
        with contextlib.suppress(OSError):
            if found is None:
                return load(signature, target)
            runtime.initialize(target)  # the one part that loaded loops need: it holds the memory of their arrays
            return found(signature, target)
        return None

    def save_overload(*arguments: Any) -> None:
        with contextlib.suppress(OSError):
            save(*arguments)

    cache.load_overload, cache.save_overload = load_overload, save_overload


def called() -> list[str]:
    """Every loop that is kept on disk and has been called from Python in this process, with its types, as in a list.

    A loop that only other loops call is part of them. ``compile_for`` takes what stands behind the name.
    """
    lines = set()
    for name, module in list(sys.modules.items()):
        if name.startswith("pourwright."):
            for loop in _loops(module):
                for types in loop.overloads:
                    with contextlib.suppress(KeyError):  # a type that no list has a word for
                        lines.add(f"{name}:{loop.py_func.__name__} {' '.join(map(_word, types))}")
    return sorted(lines)


def compile_for(loop: Any, types: str) -> None:
    """Compile a loop for arguments of these types, or read it back; ``types`` as ``called`` writes them."""
    loop.compile(types_of(types))


def types_of(text: str) -> tuple[Any, ...]:
    """The types that a line of the list gives a loop's arguments.

    >>> len(types_of("int64[1C] (int64,int64) float64"))
    3
    """
    return tuple(map(_type, text.split()))


def kept_loops(module: ModuleType) -> int | None:
    """How many compiled forms of a module's loops are kept on disk; None where nothing can be kept for long."""
    folder = caches.temporary()
    try:
        files = [loop._cache._cache_file for loop in _loops(module)]
        if not files or (folder is not None and any(str(file._cache_path).startswith(str(folder)) for file in files)):
            return None
        return sum(len(file._load_index()) for file in files)
    except (AttributeError, OSError):  # kept nowhere, or in another way
        return None


def _loops(module: ModuleType) -> list[Any]:
    """The loops that a module makes and keeps on disk."""
    return [
        value
        for value in vars(module).values()
        if hasattr(value, "py_func") and value.py_func.__module__ == module.__name__ and hasattr(value._cache, "_impl")
    ]


def _word(kind: Any) -> str:
    """A type in short: ``int64``, ``float64[2C]`` for an array of two axes in rows, ``(int64,int64)`` for a tuple.

    Before the brackets of a tuple with names stands where its class is.
    """
    types = _numba.types
    if isinstance(kind, types.Array):
        return f"{_word(kind.dtype)}[{kind.ndim}{kind.layout}{'' if kind.mutable else 'r'}]"
    if isinstance(kind, types.BaseTuple):
        named = kind.instance_class if isinstance(kind, types.BaseNamedTuple) else None
        place = f"{named.__module__}.{named.__qualname__}" if named is not None else ""
        return f"{place}({','.join(_word(part) for part in kind.types)})"
    name = str(kind)
    if getattr(types, name, None) is not kind and getattr(types, name, None) != kind:
        raise KeyError(name)
    return name


def _type(word: str) -> Any:
    """The type of a word.

    >>> [_word(_type(word)) for word in ("int64", "uint8[3Cr]", "(int64,float64[1A])")]
    ['int64', 'uint8[3Cr]', '(int64,float64[1A])']
    """
    types = _numba.types
    if word.endswith(")"):
        place, _, parts = word[:-1].partition("(")
        inside = [_type(part) for part in parts.split(",") if part]
        if not place:
            return types.Tuple(inside)
        module, _, name = place.rpartition(".")
        return types.NamedTuple(inside, getattr(importlib.import_module(module), name))
    array = re.fullmatch(r"(\w+)\[(\d)([CFA])(r?)\]", word)
    if array is None:
        return getattr(types, word)
    name, axes, layout, readonly = array.groups()
    return types.Array(_type(name), int(axes), layout, readonly=bool(readonly))
