"""The camera: one a piece, the same in all of its pictures, and where things land on the canvas."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.cavity import PourFrame

FINE = 2
"""Everything is drawn this many times larger and brought down, which smooths every edge."""
WIDTH = 1600
HEADER, FOOTER = 128, 132
LEFT, RIGHT = 350, 350
TALLEST, LOWEST = 1240, 560
AZIMUTH_DEG = 32.0  # to the reader's right of the front
BEHIND_DEG = 180.0  # a second camera stands opposite
RIM = 6  # finished pixels round the piece, where the canvas is no more than it


@dataclass(frozen=True, eq=False)
class View:
    """A parallel three-quarter view from the front: lengths along one direction are to one scale everywhere.

    Pixels are those of the large canvas (`FINE` times the picture's). Arrays read-only.
    """

    axes: np.ndarray  # (3, 3) rows: right, up, towards the viewer, in standing coordinates
    scale: float  # pixels a metre
    shift: np.ndarray  # (2,)
    width: int
    height: int
    window: tuple[int, int, int, int]  # left, top, right, bottom of the pixels that the piece can touch
    frame: PourFrame

    def standing(self, points_m: np.ndarray) -> np.ndarray:
        """Standing points (..., 3) to x, y in pixels (y down) and depth in metres towards the viewer."""
        seen = np.asarray(points_m, float) @ self.axes.T
        return np.stack(
            [
                seen[..., 0] * self.scale + self.shift[0],
                -seen[..., 1] * self.scale + self.shift[1],
                seen[..., 2],
            ],
            axis=-1,
        )

    def shell(self, points_m: np.ndarray) -> np.ndarray:
        """The same for points in the shell file's axes."""
        return self.standing(self.frame.to_standing(points_m))

    @property
    def rise(self) -> float:
        """Pixels that a metre of height takes."""
        return float(self.axes[1, 2]) * self.scale

    @property
    def plot(self) -> tuple[int, int, int, int]:
        """Left, top, right, bottom of the part of the canvas that the piece stands in."""
        return LEFT * FINE, HEADER * FINE, self.width - RIGHT * FINE, self.height - FOOTER * FINE


def elevation_deg(size_m: np.ndarray) -> float:
    """How far the camera looks down: the flatter the piece, the more.

    >>> round(elevation_deg(np.array([1.2, 0.5, 2.2])), 1), round(elevation_deg(np.array([2.9, 1.3, 0.6])), 1)
    (13.0, 26.8)
    """
    return 30.0 - 17.0 * float(np.clip(size_m[2] / max(size_m[0], size_m[1], 1e-9) / 1.1, 0.0, 1.0))


def toward(elevation_deg: float, azimuth_deg: float = AZIMUTH_DEG) -> np.ndarray:
    """Unit vector from the piece to the camera, standing axes."""
    a, e = np.radians(azimuth_deg), np.radians(elevation_deg)
    return np.array([np.sin(a) * np.cos(e), -np.cos(a) * np.cos(e), np.sin(e)])


def _axes(azimuth_deg: float, elevation_deg: float) -> np.ndarray:
    a, back = np.radians(azimuth_deg), toward(elevation_deg, azimuth_deg)
    right = np.array([np.cos(a), np.sin(a), 0.0])
    return np.array([right, np.cross(back, right), back])


def _extent(frame: PourFrame, vertices_m: np.ndarray, axes: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Least and greatest x and y of a skin as ``axes`` see it, and its width and height [m]."""
    seen = frame.to_standing(vertices_m) @ axes.T
    low, high = seen[:, :2].min(axis=0), seen[:, :2].max(axis=0)
    return low, high, np.maximum(high - low, 1e-9)


def level_span_m(frame: PourFrame, vertices_m: np.ndarray) -> tuple[float, float]:
    """Width and height [m] of a skin as level cameras see it, from the front and from behind alike."""
    span = _extent(frame, vertices_m, _axes(AZIMUTH_DEG, 0.0))[2]
    return float(span[0]), float(span[1])


def close_view(
    frame: PourFrame, vertices_m: np.ndarray, pixels_m: float, turn_deg: float = 0.0, above: bool = False
) -> View:
    """A level camera whose canvas is the piece and a narrow rim, at ``pixels_m`` finished pixels a metre.

    From ``above`` it looks straight down: left is the piece's left, and its front is below.
    """
    axes = _axes(0.0, 90.0) if above else _axes(AZIMUTH_DEG + turn_deg, 0.0)
    low, high, span = _extent(frame, vertices_m, axes)
    width, height = (2 * (int(0.5 * side * pixels_m) + RIM) * FINE for side in span)
    shift = np.array([0.5 * width, 0.5 * height]) - 0.5 * (low + high) * FINE * pixels_m * [1.0, -1.0]
    for array in (axes, shift):
        array.setflags(write=False)
    return View(axes, FINE * float(pixels_m), shift, width, height, (0, 0, width, height), frame)


def view_of(
    frame: PourFrame, vertices_m: np.ndarray, rows: int = 0, level: bool = False, turn_deg: float = 0.0
) -> View:
    """Camera for a skin with ``vertices_m`` (n, 3) in the shell file's axes, standing in ``frame``.

    A ``level`` camera does not look down: what lies at one height is one line, so a tick stands where its cut is.
    ``turn_deg`` is how far it has gone round the piece from where it stands for the front.
    The canvas is `WIDTH` wide; its height follows the piece, and leaves room for a column of ``rows`` labels.
    """
    axes = _axes(AZIMUTH_DEG + turn_deg, 0.0 if level else elevation_deg(frame.size_m))
    low, high, span = _extent(frame, vertices_m, axes)
    room = WIDTH - LEFT - RIGHT
    tall = int(np.clip(room * span[1] / span[0], min(max(LOWEST, 30 * rows), TALLEST), TALLEST))
    scale = FINE * 0.96 * min(room / span[0], tall / span[1])
    width, height = WIDTH * FINE, (tall + HEADER + FOOTER) * FINE
    middle = np.array([(LEFT + 0.5 * room) * FINE, (HEADER + 0.5 * tall) * FINE])
    shift = middle - 0.5 * (low + high) * scale * [1.0, -1.0]
    half = 0.5 * span * scale + 4 * FINE
    x0, y0 = (int(v) * FINE for v in np.floor((middle - half) / FINE))
    x1, y1 = (int(v) * FINE for v in np.ceil((middle + half) / FINE))
    for array in (axes, shift):
        array.setflags(write=False)
    return View(axes, float(scale), shift, width, height, (x0, y0, x1, y1), frame)
