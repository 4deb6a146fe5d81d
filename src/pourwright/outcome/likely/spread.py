"""The likely range of a figure: what it lies in 95 times of 100."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

COVERAGE = 0.95


@dataclass(frozen=True, slots=True)
class Likely:
    """A figure that follows from drawn causes: its 95 % range, equal chances beyond either end."""

    low: float
    middle: float  # half the chance on either side
    high: float
    deviation: float  # standard deviation


@dataclass(frozen=True, slots=True)
class LikelyAnchor:
    """Likely load of one anchor under the weight alone, all anchors there."""

    name: str
    shear_n: Likely
    pull_n: Likely | None  # the larger of both ways of holding; None: nothing keeps the piece from turning out


@dataclass(frozen=True, eq=False)
class LikelyHang:
    """What is likely, 95 times of 100."""

    kg: Likely
    anchors: tuple[LikelyAnchor, ...]
    utilisation: Likely | None  # in the governing case's loads and anchors; None: nothing is checked against a limit
    shares: tuple[tuple[str, float], ...]  # of the variance of the use (of the weight without one), by its causes
    wall_known: float  # greatest use, were the wall exactly as expected; nan where no limit is passed

    @property
    def wall_decides(self) -> bool:
        """Whether a limit is passed only because the wall's thickness is not known better."""
        return self.wall_known <= 1.0


def likely_of(values: np.ndarray) -> Likely:
    """The likely range of drawn values (n,): JCGM 101:2008, 7.7, probabilistically symmetric.

    >>> one = likely_of(np.arange(1001.0))
    >>> round(one.low), round(one.middle), round(one.high), round(one.deviation)
    (25, 500, 975, 289)
    """
    tail = 0.5 * (1.0 - COVERAGE)
    low, middle, high = (float(v) for v in np.quantile(values, [tail, 0.5, 1.0 - tail]))
    return Likely(low, middle, high, float(np.std(values)))


def shares_of(values: np.ndarray, causes: np.ndarray) -> np.ndarray:
    """Share (n,) of the variance of values (c,) that each of independent causes (c, n) brings, straight lines meant.

    >>> x = np.array([[-1.0, 1], [1, 1], [-1, -1], [1, -1]])
    >>> shares_of(x @ [3.0, 4.0], x).round(12).tolist()
    [0.36, 0.64]
    """
    about = values - values.mean()
    size = float(about @ about)
    if size <= 0.0:
        return np.zeros(causes.shape[1])
    moved = causes - causes.mean(axis=0)
    with np.errstate(invalid="ignore", divide="ignore"):
        found = (about @ moved) ** 2 / (size * (moved**2).sum(axis=0))
    return np.asarray(np.nan_to_num(found))
