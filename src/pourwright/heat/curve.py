"""How the heat of reaction comes out against time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.errors import UsageError


@dataclass(frozen=True, eq=False)
class HeatCurve:
    """Share of the heat of reaction given off, 0 to 1, against time from the start of mixing. Read-only arrays.

    >>> c = HeatCurve(np.array([0.0, 100.0]), np.array([0.0, 1.0]))
    >>> float(c.at(25.0)), float(c.at(1e6))
    (0.25, 1.0)
    """

    time_s: np.ndarray  # (n,) rising
    share: np.ndarray  # (n,) never falling, last value 1

    def __post_init__(self) -> None:
        time = np.array(self.time_s, float)
        share = np.array(self.share, float)
        if time.ndim != 1 or time.shape != share.shape or len(time) < 2:
            raise UsageError(
                f"a heat curve needs two or more times with as many shares, got {time.shape}, {share.shape}"
            )
        if np.any(np.diff(time) <= 0) or np.any(np.diff(share) < 0) or share[0] < 0 or abs(share[-1] - 1) > 1e-9:
            raise UsageError("a heat curve needs rising times and shares that never fall and end at 1")
        for name, array in (("time_s", time), ("share", share)):
            array.setflags(write=False)
            object.__setattr__(self, name, array)

    def at(self, time_s: float | np.ndarray) -> np.ndarray:
        """Share given off by ``time_s`` after mixing; linear between points, constant beyond the ends."""
        return np.interp(time_s, self.time_s, self.share)

    @property
    def end_s(self) -> float:
        """When all heat is out, after mixing."""
        return float(self.time_s[np.searchsorted(self.share, 1.0 - 1e-9)])

    def from_share(self, share: float) -> tuple[HeatCurve, float]:
        """The curve from the moment ``share`` of the heat is out, which comes at once, and that moment [s].

        >>> later, start = HeatCurve(np.array([0.0, 100.0]), np.array([0.0, 1.0])).from_share(0.5)
        >>> start, later.share.tolist(), later.end_s
        (50.0, [0.5, 1.0], 50.0)
        """
        k = int(np.searchsorted(self.share, share))
        start = float(np.interp(share, self.share[: k + 1], self.time_s[: k + 1]))
        after = self.time_s > start
        time = np.append(0.0, self.time_s[after] - start)
        return HeatCurve(time, np.append(share, self.share[after])), start


def s_curve(cream_s: float, rise_end_s: float, points: int = 65) -> HeatCurve:
    """Heat curve for a grade of which only the times are known: nothing before cream, all at the end of rise.

    ``3 x^2 - 2 x^3`` with ``x = (t - cream) / (rise_end - cream)``

    Parameters
    ----------
    cream_s, rise_end_s : float
        [s] from the start of mixing, cream before rise end.
    points : int
        Points of the curve.

    Returns
    -------
    HeatCurve

    Notes
    -----
    Our judgement, no published source. The form hardly matters for a pour thicker than some 65 mm, whose core keeps
    its heat for much longer than the reaction takes; a curve fitted to the grade is better where there is one.

    Examples
    --------
    >>> c = s_curve(40.0, 300.0)
    >>> float(c.at(40.0)), round(float(c.at(170.0)), 3), float(c.at(300.0))
    (0.0, 0.5, 1.0)
    """
    if not 0 <= cream_s < rise_end_s:
        raise UsageError(
            f"cream at {cream_s:g} s must come before the end of rise at {rise_end_s:g} s, and not before 0"
        )
    x = np.linspace(0.0, 1.0, points)
    return HeatCurve(cream_s + x * (rise_end_s - cream_s), x * x * (3 - 2 * x))


def step_within(time: np.ndarray, share: np.ndarray, since: float, most: float) -> float:
    """Longest step from ``since`` over which the curve gains no more than ``most``, at least a second."""
    target = float(np.interp(since, time, share)) + most
    if target >= share[-1]:
        # The last stretch ends on the end of the curve, so that the kink there falls between two steps.
        end = float(time[np.searchsorted(share, 1.0 - 1e-9)])
        return max(end - since, 1.0)
    k = int(np.searchsorted(share, target))
    rise = share[k] - share[k - 1]
    there = time[k - 1] + (time[k] - time[k - 1]) * (target - share[k - 1]) / rise
    return max(float(there) - since, 1.0)
