"""What holds a finished piece under its loads: its anchors, the base it stands on, a cradle, or its gunwale."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from pourwright.cavity import PourFrame
from pourwright.errors import ShellError
from pourwright.shell import Skin
from pourwright.sources import Cited, Standing
from pourwright.structure.mesh import SkinMesh

BASE = 0.02  # share of the height that stands on the ground
CHOCK_AT = (math.sqrt(2.0) - 1.0) / 2.0  # of the length, from either end: 0.207
"""Where two supports leave an even beam the least bending moment: w a^2 / 2 over them equals w L^2 / 8 - w a L / 2
between them (statics)."""
CHOCK = Cited(0.05, "", Standing.JUDGEMENT, note="width of a chock, as a share of the length of the piece")
UP_TO = Cited(0.5, "", Standing.JUDGEMENT, note="share of the height that a chock reaches up to, the turn of the bilge")
RIM = Cited(0.03, "", Standing.JUDGEMENT, note="share of the height that is held below the edge of a gunwale")
TOUCHES_M = 0.002  # above the lowest point: what touches the ground, as for a piece that stands
FOOT = Cited(0.25, "", Standing.JUDGEMENT, note="of what a piece covers from above its foot spans less: it lies")
TALL = Cited(1.2, "", Standing.JUDGEMENT, note="height over length, above which a piece is taken to stand")


@dataclass(frozen=True, eq=False)
class Support:
    """What is held: ``held`` (n, 6) bool, what that is called after a load's name, and a sentence on it."""

    rests: str  # one of RESTS, never auto
    held: np.ndarray
    name: str
    words: str


def resting(skin: Skin, frame: PourFrame) -> str:
    """Whether a piece of which nothing is said stands on its base or lies in a cradle.

    Notes
    -----
    It lies in a cradle where it is not much taller than long and what touches the ground, within 2 mm of its lowest
    point, spans less than a quarter of what the piece covers from above: a hull on its keel, a ball.
    """
    points = frame.to_standing(skin.vertices_m)
    size = np.ptp(points, axis=0)
    if size[2] > TALL.value * max(size[0], size[1]):
        return "base"
    low = points[points[:, 2] <= points[:, 2].min() + TOUCHES_M]
    foot, cover = (shapely.MultiPoint(p[:, :2]).convex_hull.area for p in (low, points))
    return "cradle" if foot < FOOT.value * cover else "base"


def support_of(mesh: SkinMesh, rests: str, anchors_m: np.ndarray) -> Support:
    """What holds the skin.

    Parameters
    ----------
    mesh : SkinMesh
    rests : str
        anchors, base, cradle or gunwale.
    anchors_m : (a, 3) standing axes [m].

    Raises
    ------
    ShellError
        Held at anchors, but there are none; or a cradle or gunwale finds less than three vertices.
    """
    if rests == "anchors":
        return _anchored(mesh, anchors_m)
    made = {"base": _base, "cradle": _cradle, "gunwale": _gunwale}[rests](mesh)
    if int(made.held[:, 0].sum()) < 3:
        raise ShellError(f"nothing of the skin lies where a {rests} would hold it: say structure.rests = 'base'")
    return made


def _anchored(mesh: SkinMesh, anchors_m: np.ndarray) -> Support:
    if not len(anchors_m):
        raise ShellError("structure.rests = 'anchors', but the job has no [[anchor]]: add them, or say 'base'")
    p, reach = mesh.vertices_m, max(0.05, 1.5 * mesh.side_m)
    on = np.zeros(len(p), bool)
    for anchor in anchors_m:
        far = np.linalg.norm(p - anchor, axis=1)
        on |= far <= max(reach, float(far.min()) + 0.5 * mesh.side_m)
    count = len(anchors_m)
    name = f"on its {count} anchors" if count > 1 else "on its anchor"
    return Support("anchors", _clamped(on), name, f"Held {name}, clamped within {1e3 * reach:.0f} mm of each.")


def _base(mesh: SkinMesh) -> Support:
    z = mesh.vertices_m[:, 2]
    deep = max(BASE * float(np.ptp(z)), 0.3 * mesh.side_m)
    words = f"Held on its base: the lowest {1e3 * deep:.0f} mm, fixed to what it stands on."
    return Support("base", _clamped(z <= z.min() + deep), "on its base", words)


def _lengthwise(mesh: SkinMesh) -> tuple[int, np.ndarray, float]:
    """The longer level axis, places along it (n,) from its end, and the length."""
    axis = int(np.argmax(np.ptp(mesh.vertices_m[:, :2], axis=0)))
    along = mesh.vertices_m[:, axis] - mesh.vertices_m[:, axis].min()
    return axis, along, float(along.max())


def _cradle(mesh: SkinMesh) -> Support:
    """Two bands across, on the outside of the lower half; held in place, free to turn."""
    p, n = mesh.vertices_m, mesh.normal
    axis, along, long = _lengthwise(mesh)
    across = 1 - axis
    half = max(0.5 * CHOCK.value * long, 0.75 * mesh.side_m)
    on = np.zeros(len(p), bool)
    for at in (CHOCK_AT * long, (1 - CHOCK_AT) * long):
        band = np.abs(along - at) <= half
        if not band.any():
            continue
        low, high = p[band].min(axis=0), p[band].max(axis=0)
        top = low[2] + UP_TO.value * (high[2] - low[2])
        # of a hull and the liner in it the one that faces away from the middle of the section, at the chock's top
        outwards = n[:, across] * (p[:, across] - 0.5 * (low[across] + high[across])) + n[:, 2] * (p[:, 2] - top)
        on |= band & (p[:, 2] <= top) & (outwards > 0) & (n[:, 2] < 0.2)
    words = (
        f"Held in a cradle: two chocks {2e3 * half:.0f} mm wide under it, {CHOCK_AT * long:.2f} m from either end of "
        f"its {long:.2f} m, up to half its height there, and strapped down."
    )
    return Support("cradle", _placed(on), "in a cradle", words)


def _gunwale(mesh: SkinMesh) -> Support:
    """The upper edge all round, station by station and side by side; held in place, free to turn."""
    p = mesh.vertices_m
    axis, along, long = _lengthwise(mesh)
    across = 1 - axis
    deep = max(RIM.value * float(np.ptp(p[:, 2])), 0.6 * mesh.side_m)
    stations = max(int(long / (2.5 * mesh.side_m)), 1)
    station = np.minimum((stations * along / max(long, 1e-12)).astype(int), stations - 1)
    middle = 0.5 * (p[:, across].min() + p[:, across].max())
    part = 2 * station + (p[:, across] > middle)
    highest = np.full(2 * stations, -np.inf)
    np.maximum.at(highest, part, p[:, 2])
    words = f"Held by its gunwale: the uppermost {1e3 * deep:.0f} mm all round, free to turn."
    return Support("gunwale", _placed(p[:, 2] >= highest[part] - deep), "held by its gunwale", words)


def _clamped(on: np.ndarray) -> np.ndarray:
    return np.repeat(on[:, None], 6, axis=1)


def _placed(on: np.ndarray) -> np.ndarray:
    held = np.zeros((len(on), 6), bool)
    held[on, :3] = True
    return held
