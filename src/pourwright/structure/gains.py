"""How much stiffer the set foam makes the piece: pushed by hand, under its loads, bent and twisted as a whole."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial import cKDTree

from pourwright.fem import ShellModel
from pourwright.sources import Cited, Standing
from pourwright.structure.filled import Filled
from pourwright.structure.foam import FoamBlock
from pourwright.structure.mesh import SkinMesh
from pourwright.structure.model import Gain, PushMap, Shape
from pourwright.structure.sway import DENT, slices, swayed

GRAVITY = 9.80665
HAND = Cited(500.0, "N", Standing.JUDGEMENT, note="a person leaning on the piece with one hand")
PALM = Cited(0.04, "m", Standing.JUDGEMENT, note="radius of the palm")
END = 0.04  # share of the length that is held, or loaded, at an end
BASE = 0.02  # share of the height that stands on the ground
SAME = 0.02  # movements nearer than this are alike


@dataclass(frozen=True, eq=False)
class Loads:
    """What the piece has to bear; standing axes."""

    density_kg_m3: float  # of the skin
    side_pa: float  # on what faces ``out``
    anchors_m: np.ndarray  # (a, 3), none: it stands on its base
    bond: float  # 0 to 1
    gap_m: float  # that cooling opens behind an unbonded skin
    down: tuple[float, float, float] = (0.0, 0.0, -1.0)  # unit, when it stands or hangs in place
    out: tuple[float, float, float] = (0.0, -1.0, 0.0)  # unit, towards the one who pushes
    force_n: float = HAND.value
    points: int = 60


def held_by(mesh: SkinMesh, anchors_m: np.ndarray) -> tuple[np.ndarray, str]:
    """Vertices (n,) that the anchors or the base hold, and words."""
    p = mesh.vertices_m
    if len(anchors_m):
        reach = max(0.05, 1.5 * mesh.side_m)
        held = np.zeros(len(p), bool)
        for anchor in anchors_m:
            far = np.linalg.norm(p - anchor, axis=1)
            held |= far <= max(reach, float(far.min()) + 0.5 * mesh.side_m)
        return held, f"on its {len(anchors_m)} anchors"
    low, height = p[:, 2].min(), np.ptp(p[:, 2])
    return p[:, 2] <= low + max(BASE * height, 0.3 * mesh.side_m), "on its base"


def spread_points(points_m: np.ndarray, count: int) -> np.ndarray:
    """Indices (count,) of points far apart, each the farthest from those before it; the first is the lowest."""
    first = int(np.lexsort(points_m.T)[0])
    chosen = [first]
    far = np.linalg.norm(points_m - points_m[first], axis=1)
    while len(chosen) < min(count, len(points_m)):
        k = int(np.argmax(far))
        chosen.append(k)
        far = np.minimum(far, np.linalg.norm(points_m - points_m[k], axis=1))
    return np.array(chosen)


def push_loads(model: ShellModel, at: np.ndarray, palm_m: float) -> np.ndarray:
    """Loads (size, k) of 1 N inwards, spread over the palm at vertices ``at``."""
    out = np.zeros((len(at), len(model.vertices_m), 6))
    for k, vertex in enumerate(at):
        far = np.linalg.norm(model.vertices_m - model.vertices_m[vertex], axis=1)
        alike = model.vertex_normals @ model.vertex_normals[vertex] > 0.5
        under = np.flatnonzero((far <= palm_m) & alike)
        under = under if len(under) else np.array([vertex])
        weight = model.vertex_area_m2[under] / model.vertex_area_m2[under].sum()
        out[k, under, :3] = -weight[:, None] * model.vertex_normals[vertex]
    return out.reshape(len(at), -1).T


def _near_held(mesh: SkinMesh, held: np.ndarray) -> np.ndarray:
    """Vertices (n,) within a palm and a half of a support: a push there tells of the support only."""
    if not held.any():
        return held
    far, _ = cKDTree(mesh.vertices_m[held]).query(mesh.vertices_m)
    near = far <= 1.5 * PALM.value
    return np.asarray(near if not near.all() else held)


def _compliance(load: np.ndarray, moved: np.ndarray) -> np.ndarray:
    return np.asarray((load * moved[: len(load)]).sum(axis=0))


def _sway(model: ShellModel, band: list[np.ndarray], load: np.ndarray, moved: np.ndarray) -> np.ndarray:
    """Compliance (k,) [m/N] of the piece under each push, the skin's own give left out."""
    count, k = len(model.vertices_m), load.shape[1]
    at = moved[: len(load)].reshape(count, 6, k)[:, :3]
    return swayed(model.vertices_m, model.vertex_area_m2, band, load.reshape(count, 6, k)[:, :3], at)


def _end_loads(model: ShellModel, axis: int, far: np.ndarray) -> dict[str, np.ndarray]:
    """1 N across at the far end both ways, and 1 N m of twist about the long axis."""
    weight = np.where(far, model.vertex_area_m2, 0.0)
    weight = weight / weight.sum()
    across = [i for i in range(3) if i != axis]
    out = {}
    for i in across:
        load = np.zeros((len(weight), 6))
        load[:, i] = weight
        out[f"bend {i}"] = load.ravel()
    arm = model.vertices_m - (weight[:, None] * model.vertices_m).sum(axis=0)
    arm[:, axis] = 0.0
    turn = np.cross(np.eye(3)[axis], arm)
    twist = np.zeros((len(weight), 6))
    twist[:, :3] = weight[:, None] * turn / float((weight * (arm**2).sum(axis=1)).sum())
    out["twist"] = twist.ravel()
    return out


def piece_gains(
    mesh: SkinMesh, youngs_pa: float, poisson: float, foam: FoamBlock, loads: Loads
) -> tuple[tuple[Gain, ...], PushMap, Shape, tuple[str, ...]]:
    """Every gain of one piece.

    Parameters
    ----------
    mesh : SkinMesh
    youngs_pa, poisson : of the skin.
    foam : FoamBlock
    loads : Loads

    Returns
    -------
    gains : own weight and side pressure on its supports, bending both ways, twist.
    push : PushMap
    shape : Shape
        Under the side pressure.
    words : tuple of str

    Notes
    -----
    ``before`` of own weight carries the skin's weight only, after that of skin and foam, so that a ratio below 1 is
    honest: filled, the piece is heavier.
    """
    model = mesh.model(youngs_pa, poisson)
    hold, support = held_by(mesh, loads.anchors_m)
    axis = int(np.argmax(np.ptp(mesh.vertices_m, axis=0)))
    along = mesh.vertices_m[:, axis] - mesh.vertices_m[:, axis].min()
    length = float(np.ptp(along))
    far = along >= (1 - END) * length - 1e-9
    near = along <= END * length
    upright = axis == 2 and not len(loads.anchors_m)
    down, out = GRAVITY * np.array(loads.down), np.array(loads.out)
    weight = model.gravity_load(loads.density_kg_m3, down)
    front = np.clip(model.normals @ out, 0.0, None)
    side = model.traction_load(-(loads.side_pa * front)[:, None] * out)
    ends = _end_loads(model, axis, far)
    loose = np.flatnonzero(~_near_held(mesh, hold))
    at = loose[spread_points(mesh.vertices_m[loose], loads.points)]
    pushes = push_loads(model, at, PALM.value)

    filled = Filled(model, mesh.vertex_thickness_m, foam, np.repeat(hold[:, None], 6, axis=1))
    other = filled if upright else Filled(model, mesh.vertex_thickness_m, foam, np.repeat(near[:, None], 6, axis=1))
    both = np.stack([weight, side], axis=1)
    body = np.stack(list(ends.values()), axis=1)
    first = np.column_stack([both, pushes, body] if upright else [both, pushes])
    bare = filled.before(first)
    foam_weight = np.zeros((foam.size, first.shape[1]))
    foam_weight[:, 0] = foam.gravity_load(down)
    full = filled.padded(first, foam_weight)
    full_bond = loads.bond if loads.bond > 0 else 1.0
    glued = filled.bonded(full, full_bond)
    slid = filled.sliding(full)
    count = len(at)
    own = [0, 1, *(range(2 + count, 5 + count) if upright else ())]
    leaned = filled.touching_many(full[:, own])
    soft = [moved for moved, _ in leaned]
    parted = min(share for _, share in leaned[:2])
    if upright:
        ends_bare, ends_glued = bare[:, 2 + count :], glued[:, 2 + count :]
        ends_soft = soft[2:]
    else:
        filled.free()
        ends_bare = other.before(body)
        whole = other.padded(body)
        ends_glued = other.bonded(whole, full_bond)
        ends_soft = [moved for moved, _ in other.touching_many(whole)]
        other.free()

    counts_bond = loads.bond > 0
    gains = []
    named = (("own weight", "its own weight", math.nan, ""), ("side pressure", "on its front", loads.side_pa, "Pa"))
    for k, (name, load, amount, of) in enumerate(named):
        moved = [float(np.linalg.norm(filled.skin(u)[:, :3], axis=1).max()) for u in (bare[:, k], soft[k], glued[:, k])]
        gain = _gain(f"{name}, {support}", "m", load, moved, counts_bond, loads.gap_m)
        gains.append(replace(gain, amount=amount, amount_unit=of))
    held_end = "on its base" if upright else "one end held"
    names = ("to the side", "front to back", "up and down")
    for k, key in enumerate(ends):
        moved = [
            float(body[:, k] @ ends_bare[:, k]),
            float(body[:, k] @ ends_soft[k][: model.size]),
            float(body[:, k] @ ends_glued[: model.size, k]),
        ]
        what = "twist" if key == "twist" else f"bending {names[int(key[-1])]}"
        unit, of = ("rad", "N m") if key == "twist" else ("m", "N")
        gain = _gain(f"whole piece, {what}, {held_end}", unit, "at the far end", moved, counts_bond)
        gains.append(replace(gain, amount=1.0, amount_unit=of))

    part = slice(2, 2 + count)
    total = [_compliance(pushes, u[:, part]) for u in (bare, slid, glued)]
    band = slices(mesh.vertices_m, mesh.faces, at, axis, max(PALM.value, mesh.side_m))
    sway = [_sway(model, band, pushes, u[:, part]) for u in (bare, slid, glued)]
    c0, c1, c2 = (np.maximum(c - s, DENT * c) for c, s in zip(total, sway, strict=True))
    # at hard edges give and sway run into one another: foam never makes the skin give more, so no gain is claimed there
    c1, c2 = np.minimum(c1, c0), np.minimum(c2, c0)
    after_sway = sway[2] if counts_bond else sway[1]
    if counts_bond:
        counted = 1 / c2
    else:  # the skin is on its own until it has moved through the gap
        free_n = np.minimum(loads.gap_m / np.maximum(c0, 1e-300), loads.force_n)
        counted = loads.force_n / (free_n * c0 + (loads.force_n - free_n) * c1)
    push = PushMap(
        mesh.vertices_m[at], model.vertex_normals[at], 1 / c0, 1 / c1, 1 / c2, counted, loads.force_n, PALM.value,
        loads.force_n * sway[0], loads.force_n * after_sway,
    )  # fmt: skip
    after = glued[:, 1] if counts_bond else soft[1]
    shape = Shape(mesh.vertices_m, mesh.faces, filled.skin(bare[:, 1])[:, :3], filled.skin(after)[:, :3])
    words: tuple[str, ...] = (
        f"Without bond, {parted:.0%} of the skin stays on the foam under the worse of weight and side pressure; the "
        "rest parts from it.",
    )
    if filled.unsettled + (0 if upright else other.unsettled):
        words += ("The figures without bond are approximate: the search for where skin and foam touch was cut short.",)
    return tuple(gains), push, shape, words


def _gain(name: str, unit: str, load: str, moved: list[float], bonds: bool, gap_m: float = 0.0) -> Gain:
    before, touching, bonded = moved
    return Gain(name, unit, load, before, touching, bonded, bonded if bonds else through_gap(before, touching, gap_m))


def through_gap(before_m: float, touching_m: float, gap_m: float) -> float:
    """How far a skin moves that is alone until it has closed a gap, and touches under the rest of the load.

    >>> through_gap(10.0, 2.0, 0.0), through_gap(10.0, 2.0, 5.0), through_gap(10.0, 2.0, 20.0)
    (2.0, 6.0, 10.0)
    """
    if touching_m >= before_m:
        return touching_m
    alone = min(gap_m / before_m, 1.0) if before_m > 0 else 0.0  # share of the load
    return alone * before_m + (1 - alone) * touching_m
