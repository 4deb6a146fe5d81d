"""Where labels go: two columns beside the piece, as near to what they name as they can be without overlapping."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class Label:
    """Words for one thing in a picture; positions in canvas pixels."""

    anchor: tuple[float, float]  # what it names
    head: str  # bold first line
    lines: tuple[str, ...] = ()
    mark: str = ""  # "pour" | "vent" | "" : sign drawn before the head
    swatch: tuple[int, int, int] | None = None  # colour drawn before the head
    side: str = ""  # "left" | "right" | "" for the nearer one
    leader: bool = True
    hidden: bool = False  # what it names is on the far side
    fixed: bool = False  # of a measured length that is drawn: never left out


def spread(wanted: np.ndarray, heights: np.ndarray, low: float, high: float, gap: float) -> np.ndarray:
    """Tops of boxes stacked in the given order without overlap, as near to where they are wanted as possible.

    Parameters
    ----------
    wanted : ndarray (n,)
        Wanted tops, in the order of the stack (ascending).
    heights : ndarray (n,)
    low, high : float
        Between these everything is kept, if it fits; else the stack begins at ``low`` and goes on beyond ``high``.
    gap : float
        Least distance between boxes.

    Returns
    -------
    ndarray (n,)
        Least-squares optimum: pooled neighbours share one shift.

    >>> spread(np.array([0.0, 1.0, 50.0]), np.array([10.0, 10.0, 10.0]), 0.0, 100.0, 2.0).tolist()
    [0.0, 12.0, 50.0]
    """
    if not len(wanted):
        return np.empty(0)
    offset = np.r_[0.0, np.cumsum(heights + gap)[:-1]]
    means: list[float] = []
    counts: list[int] = []
    for value in (wanted - offset).tolist():
        means.append(value)
        counts.append(1)
        while len(means) > 1 and means[-2] > means[-1]:
            mean, count = means.pop(), counts.pop()
            means[-1] = (means[-1] * counts[-1] + mean * count) / (counts[-1] + count)
            counts[-1] += count
    fitted = np.repeat(means, counts)
    last = max(low, high - offset[-1] - float(heights[-1]))
    return np.clip(fitted, low, last) + offset


def sides(labels: list[Label], middle: float) -> tuple[list[Label], list[Label]]:
    """Labels of the left and right column, each from top to bottom.

    A label without a side goes to the nearer one; where one column then holds far more, those nearest to the middle
    change over.
    """
    free = sorted((lb for lb in labels if not lb.side), key=lambda lb: (lb.anchor[0], lb.anchor[1], lb.head))
    left = [lb for lb in labels if lb.side == "left"]
    right = [lb for lb in labels if lb.side == "right"]
    cut = sum(lb.anchor[0] < middle for lb in free)
    room = (len(left) + len(right) + len(free) + 1) // 2 + 2
    cut = min(cut, max(0, room - len(left)))
    cut = max(cut, len(free) - max(0, room - len(right)))
    left, right = left + free[:cut], right + free[cut:]

    def order(label: Label) -> tuple[float, float, str]:
        return label.anchor[1], label.anchor[0], label.head

    return sorted(left, key=order), sorted(right, key=order)


def thinned(labels: list[Label], keep: int) -> list[Label]:
    """At most ``keep`` of them, spread evenly, the first and the last among them; none that is fixed is left out.

    >>> [one.head for one in thinned([Label((0, k), str(k), fixed=k == 4) for k in range(9)], 3)]
    ['0', '4', '8']
    """
    if len(labels) <= keep:
        return labels
    free = [label for label in labels if not label.fixed]
    room = max(keep - (len(labels) - len(free)), 2)
    if len(free) > room:
        free = [free[int(k)] for k in np.unique(np.round(np.linspace(0, len(free) - 1, room)).astype(int))]
    chosen = {id(label) for label in free}
    return [label for label in labels if label.fixed or id(label) in chosen]


def apart(points: np.ndarray, least: float, rounds: int = 60) -> np.ndarray:
    """Points (n, 2) moved as little as it takes to lie ``least`` from one another (as far as the rounds reach).

    >>> apart(np.array([[0.0, 0.0], [2.0, 0.0]]), 10.0).tolist()
    [[-4.0, 0.0], [6.0, 0.0]]
    """
    out = np.array(points, float)
    angle = np.arange(len(out)) * 2.399963  # points in one place part in fixed directions
    for _ in range(rounds):
        away = out[:, None] - out[None]
        far = np.linalg.norm(away, axis=-1)
        same = far < 1e-9
        away = np.where(same[..., None], np.stack([np.cos(angle), np.sin(angle)], -1)[:, None], away)
        lack = np.where(np.eye(len(out), dtype=bool), 0.0, np.maximum(least - far, 0.0))
        if lack.max(initial=0.0) < 1e-6:
            break
        out += (away / np.where(same, 1.0, far)[..., None] * 0.5 * lack[..., None]).sum(axis=1)
    return out
