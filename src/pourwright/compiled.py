"""Loops compiled by numba, kept on disk between runs where there is a place for it: never a reason not to run."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
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
