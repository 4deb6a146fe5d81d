"""Length units of shell files, and the sizes a piece may have."""

from __future__ import annotations

import numpy as np

from pourwright.errors import ShellError, UsageError
from pourwright.figures import apart

METRES = {"mm": 1e-3, "cm": 1e-2, "in": 0.0254, "ft": 0.3048, "m": 1.0, "um": 1e-6}
"""Metres per unit, by the words a job or a file may use (``um`` only comes from 3MF files)."""

ASKED = ("mm", "cm", "in", "ft", "m")

SMALLEST_M, LARGEST_M, FARTHEST_M = 0.01, 100.0, 1e5
"""Longest side a piece may have, and how far from the file's origin it may lie [m]. Our judgement: below a
centimetre nothing is poured, above 100 m the unit is wrong, and beyond 100 km single-precision files lose the wall."""


def unit_of(source: str, stated: str | None, asked: str | None, low: np.ndarray, high: np.ndarray) -> str:
    """The unit to read a file's numbers in.

    Parameters
    ----------
    source : str
        File name, for the message.
    stated : str or None
        What the file says itself.
    asked : str or None
        What the job or the command says; it wins.
    low, high : (3,) ndarray
        Extents in the file's numbers.

    Returns
    -------
    str
        A key of `METRES`.

    Raises
    ------
    UsageError
        When neither says, or ``asked`` is no known unit.
    """
    if asked is not None:
        if asked not in ASKED:
            raise UsageError(f"unit {asked!r} is not known: give one of {', '.join(ASKED)}.")
        return asked
    if stated is not None:
        return stated
    side = float((high - low).max())
    sizes = ", ".join(f"{length_words(side * METRES[u])} if {u}" for u in ASKED)
    raise UsageError(
        f"{source} does not say which unit its numbers are in (longest side {side:.6g}): "
        f"it would be {sizes}; say which with the unit option or the job file's unit."
    )


def check_size(source: str, unit: str, low_m: np.ndarray, high_m: np.ndarray) -> None:
    """Raise `ShellError` where the extents [m] (3,) are outside what a piece may have."""
    side = float((high_m - low_m).max())
    if not side > 0:
        raise ShellError(f"{source}: every point lies on one spot, so there is no shell in it.")
    if not SMALLEST_M <= side <= LARGEST_M:
        said, _ = apart(side, SMALLEST_M if side < SMALLEST_M else LARGEST_M, length_words)
        raise ShellError(
            f"{source} is {said} long when read in {unit}; a piece may be "
            f"{length_words(SMALLEST_M)} to {length_words(LARGEST_M)}: check the unit."
        )
    far = float(max(abs(low_m).max(), abs(high_m).max()))
    if far > FARTHEST_M:
        said, most = apart(far, FARTHEST_M, length_words)
        raise ShellError(
            f"{source} lies {said} from its file's origin (at most {most}), where "
            "its numbers no longer hold the wall: move it to the origin and save it again."
        )


def length_words(metres: float, more: int = 0) -> str:
    """A length for messages, with the metric unit that suits it and ``more`` digits than usual.

    >>> length_words(2.2), length_words(0.0223), length_words(2.5e9)
    ('2.2 m', '22.3 mm', '2.5e+09 m')
    """
    if metres < 1.0:
        return f"{metres * 1e3:.{3 + more}g} mm"
    return f"{metres:.{4 + more}g} m"
