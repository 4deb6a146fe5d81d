"""A hand push all over the skin: how far it gives under the palm, empty and filled, and how far the piece sways."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from pourwright.fem import ShellModel, straight_up_to
from pourwright.sources import Cited, Standing
from pourwright.structure.mesh import SkinMesh
from pourwright.structure.model import PushMap
from pourwright.structure.sway import DENT, slices, swayed

HAND = Cited(500.0, "N", Standing.JUDGEMENT, note="a person leaning on the piece with one hand")
PALM = Cited(0.04, "m", Standing.JUDGEMENT, note="radius of the palm")
LITTLE = 0.1  # of the movement: of a dent that is less, what is left out is checked against that

Three = tuple[np.ndarray, np.ndarray, np.ndarray]  # terms of a movement (size, k)


@dataclass(frozen=True, eq=False)
class PushLoads:
    """Pushes of 1 N at some vertices ``at`` (k,): ``load`` (size, k)."""

    at: np.ndarray
    load: np.ndarray

    @classmethod
    def over(cls, mesh: SkinMesh, model: ShellModel, held: np.ndarray, count: int) -> PushLoads:
        """Some points far apart over what is loose of a skin that is held at some vertices (n,)."""
        loose = np.flatnonzero(~_near_held(mesh, held))
        at = loose[spread_points(mesh.vertices_m[loose], count)]
        return cls(at, push_loads(model, at, PALM.value))


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


def push_map(
    mesh: SkinMesh,
    model: ShellModel,
    pushes: PushLoads,
    terms: list[Three],
    axis: int,
    force_n: float,
    gap_m: float | None,
    beyond: str,
) -> PushMap:
    """What a hand push finds.

    Parameters
    ----------
    mesh, model, pushes : the skin and where it is pushed, k points.
    terms : of the skin's movement under 1 N, empty, on foam that slides, and bonded.
    axis : 0, 1 or 2, the piece's long way.
    force_n : of the push.
    gap_m : that the skin closes alone before the foam helps; None where the bond counts.
    beyond : why a movement is no figure, where straight-line theory does not hold.
    """
    load, at = pushes.load, pushes.at
    band = slices(mesh.vertices_m, mesh.faces, at, axis, max(PALM.value, mesh.side_m))
    give, sway, holds = [], [], []
    for three in terms:
        total = [_compliance(load, u) for u in three]
        each = [_sway(model, band, load, u) for u in three]
        dents = [t - s for t, s in zip(total, each, strict=True)]
        give.append(np.maximum(dents[0], DENT * total[0]))
        sway.append(each[0])
        dents[0] = np.maximum(dents[0], LITTLE * total[0])
        holds.append(np.minimum(_held(dents), _held([_greatest(u) for u in three])))
    holds = [holds[0], *(np.maximum(holds[0], held) for held in holds[1:])]  # with foam never less than empty
    c0, c1, c2 = give
    # at hard edges give and sway run into one another: foam never makes the skin give more, so no gain is claimed there
    c1, c2 = np.minimum(c1, c0), np.minimum(c2, c0)
    at_n = np.minimum(force_n, holds[0])
    if gap_m is None:
        counted, after, filled_holds = 1 / c2, sway[2], holds[2]
    else:  # the skin is on its own until it has moved through the gap
        alone_n = np.minimum(gap_m / np.maximum(c0, 1e-300), at_n)
        counted = at_n / (alone_n * c0 + (at_n - alone_n) * c1)
        after, filled_holds = sway[1], np.minimum(holds[1], holds[0]) if gap_m > 0 else holds[1]
    return PushMap(
        mesh.vertices_m[at], model.vertex_normals[at], 1 / c0, 1 / c1, 1 / c2, counted, force_n, PALM.value,
        np.where(holds[0] >= force_n, force_n * sway[0], np.nan),
        np.where(filled_holds >= force_n, force_n * after, np.nan),
        holds[0], filled_holds, beyond if min(holds[0].min(), filled_holds.min()) < force_n else "",
    )  # fmt: skip


def _held(terms: list[np.ndarray]) -> np.ndarray:
    """Force (k,) up to which the next terms of a push of 1 N stay small."""
    return np.array([straight_up_to(*(abs(float(v)) for v in three)) for three in zip(*terms, strict=True)])


def _greatest(moved: np.ndarray) -> np.ndarray:
    return np.asarray(np.linalg.norm(moved.reshape(-1, 6, moved.shape[1])[:, :3], axis=1).max(axis=0))


def _near_held(mesh: SkinMesh, held: np.ndarray) -> np.ndarray:
    """Vertices (n,) within a palm and a half of a support: a push there tells of the support only."""
    if not held.any():
        return held
    far, _ = cKDTree(mesh.vertices_m[held]).query(mesh.vertices_m)
    near = far <= 1.5 * PALM.value
    return np.asarray(near if not near.all() else held)


def _compliance(load: np.ndarray, moved: np.ndarray) -> np.ndarray:
    return np.asarray((load * moved).sum(axis=0))


def _sway(model: ShellModel, band: list[np.ndarray], load: np.ndarray, moved: np.ndarray) -> np.ndarray:
    """Compliance (k,) [m/N] of the piece under each push, the skin's own give left out."""
    count, k = len(model.vertices_m), load.shape[1]
    at = moved.reshape(count, 6, k)[:, :3]
    return swayed(model.vertices_m, model.vertex_area_m2, band, load.reshape(count, 6, k)[:, :3], at)
