"""How kernels are compiled: kept on disk between runs, lock released, division as in numpy.

``kernel`` marks what Python calls; ``inner`` what only kernels may call: it has no door to Python, which halves the
time it takes to compile, and crashes if called from there. The copy on disk is renewed when the kernel's own file
changes, not when an inner function of another file does: after an edit there, delete ``__pycache__``.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from pourwright.compiled import njit

F = TypeVar("F", bound=Callable[..., Any])


def kernel(function: F) -> F:
    """Compile a function that Python calls."""
    compiled: Any = njit(cache=True, nogil=True, error_model="numpy")(function)
    made: F = compiled
    return made


def inner(function: F) -> F:
    """Compile a function that only compiled functions call."""
    options = {"no_cpython_wrapper": True, "no_cfunc_wrapper": True}
    compiled: Any = njit(nogil=True, error_model="numpy", **options)(function)
    made: F = compiled
    return made
