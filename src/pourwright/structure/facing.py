"""Which part of the skin a lift presses."""

from __future__ import annotations

import numpy as np

from pourwright.physics.triangle_cut import share_below
from pourwright.structure.mesh import SkinMesh
from pourwright.structure.model import PressedLift


def pressed_share(mesh: SkinMesh, lift: PressedLift) -> np.ndarray:
    """Share (m,) of each triangle that a lift presses: what has it right behind, so its lid and its floor too.

    Triangles are cut at the lift's bottom and top, exactly; a triangle's corners are looked at a little further in than
    the wall is thick, so that a skin that lies flat on the lift or under it counts with it.
    """
    corners = mesh.vertices_m[mesh.faces]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    up = normal[:, 2] / np.linalg.norm(normal, axis=1)
    a, b, c = (corners[:, :, 2] - (up * (mesh.thickness_m + 0.25 * mesh.side_m))[:, None]).T
    return np.asarray(share_below(a, b, c, lift.top_m) - share_below(a, b, c, lift.bottom_m))
