"""Which part of the skin a lift presses."""

from __future__ import annotations

import numpy as np

from pourwright.physics.triangle_cut import share_below
from pourwright.structure.mesh import SkinMesh
from pourwright.structure.model import PressedLift


def pressed_share(mesh: SkinMesh, lift: PressedLift) -> np.ndarray:
    """Share (m,) of each triangle that a lift presses: what has it right behind, so its lid and its floor too.

    Triangles are cut at the lift's bottom and top, exactly; a triangle's corners are looked at a little further in than
    the wall is thick, so that a skin that lies flat on the lift or under it counts with it. Of a lift whose pours are
    known, only triangles that come as near to the upright box round one of them: an arm does not press the chest.
    """
    corners = mesh.vertices_m[mesh.faces]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    up = normal[:, 2] / np.linalg.norm(normal, axis=1)
    a, b, c = (corners[:, :, 2] - (up * (mesh.thickness_m + 0.25 * mesh.side_m))[:, None]).T
    whole = np.asarray(share_below(a, b, c, lift.top_m) - share_below(a, b, c, lift.bottom_m))
    if not all(pour.reach_m for pour in lift.pours) or not lift.pours:
        return whole
    near, share = mesh.thickness_m + 0.25 * mesh.side_m, np.zeros(len(whole))
    low, high = corners[:, :, :2].min(axis=1), corners[:, :, :2].max(axis=1)
    for pour in lift.pours:
        ends = np.reshape(pour.reach_m, (2, 2))
        beside = ((high > ends[:, 0] - near[:, None]) & (low < ends[:, 1] + near[:, None])).all(axis=1)
        bottom, top = max(pour.bottom_m, lift.bottom_m), min(pour.top_m, lift.top_m)
        if top > bottom:
            share += np.where(beside, share_below(a, b, c, top) - share_below(a, b, c, bottom), 0.0)
    return np.minimum(share, whole)
