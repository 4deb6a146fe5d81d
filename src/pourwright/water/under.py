"""What a closed triangle surface displaces below a water plane; exact on the facets.

Every facet below the plane spans a tetrahedron with a point *of the plane*, so the cut itself adds nothing and needs no
cap. The surface below the plane falls into bowls: the outside of a hull is one, a cockpit that dips below the water is
another of opposite sign. While the water has not reached the lowest edge between them they are separate pieces, and a
dry cockpit is simply a bowl that is left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.water._under import bowls, placed, sums_under


@dataclass(frozen=True, eq=False)
class Submerged:
    """A body below a water plane. Points and moments in the body's axes; waterplane moments in the plane's own."""

    volume_m3: float
    centre_m: np.ndarray  # (3,) of the displaced water
    waterplane_m2: float
    waterplane_centre_m: np.ndarray  # (3,)
    waterplane_m4: np.ndarray  # (2, 2) second moments about its centre, along ``across``
    across: np.ndarray  # (2, 3) unit axes of the plane
    dry_bowls: int  # bowls below the plane that were kept free of water


def plane_axes(normal: np.ndarray) -> np.ndarray:
    """Two unit axes (2, 3) across a unit ``normal`` (3,), the first as near to x as can be; right-handed with it."""
    helper = np.array([1.0, 0, 0]) if abs(normal[0]) < 0.9 else np.array([0, 1.0, 0])
    first = helper - normal * (helper @ normal)
    first = first / np.linalg.norm(first)
    return np.array([first, np.cross(normal, first)])


def submerged(
    vertices_m: np.ndarray, faces: np.ndarray, normal: np.ndarray, level_m: float, *, bail: bool = False
) -> Submerged:
    """Volume, centre and waterplane of a closed surface below the plane ``normal . x = level``.

    Parameters
    ----------
    vertices_m : ndarray (n, 3)
    faces : ndarray (m, 3)
        Wound outwards, closed.
    normal : ndarray (3,)
        Up out of the water, unit length.
    level_m : float
        Distance of the plane from the origin along ``normal`` [m].
    bail : bool
        True keeps water out of hollows that the plane has not reached over their edge (a dry cockpit).

    Returns
    -------
    Submerged

    Examples
    --------
    A cube of 1 m, a quarter under:

    >>> import trimesh
    >>> box = trimesh.creation.box()
    >>> s = submerged(box.vertices, box.faces, np.array([0.0, 0, 1]), -0.25)
    >>> round(s.volume_m3, 12), s.centre_m.round(12).tolist(), round(s.waterplane_m2, 12)
    (0.25, [0.0, 0.0, -0.375], 1.0)

    References
    ----------
    Divergence theorem; Green's theorem on the waterline.
    """
    axes = plane_axes(normal)
    to_body = np.vstack([axes, normal])
    place = placed(vertices_m, to_body, level_m)
    bowl, count = bowls(place[:, 2], faces, bail)
    if count == 0:
        return nothing_under(axes, normal, level_m)
    by_bowl = sums_under(place, faces, bowl, count)
    return from_sums(by_bowl, to_body, normal * level_m, bail=bail)


def nothing_under(axes: np.ndarray, normal: np.ndarray, level_m: float) -> Submerged:
    """A surface that does not reach the water."""
    return Submerged(0.0, normal * level_m, 0.0, normal * level_m, np.zeros((2, 2)), axes, 0)


def from_sums(by_bowl: np.ndarray, to_body: np.ndarray, foot_m: np.ndarray, *, bail: bool) -> Submerged:
    """What is under water, from the sums (k, 10) of each bowl along axes (3, 3), about a point of the plane."""
    axes = to_body[:2]
    keep = by_bowl[:, 0] > 0 if bail else np.ones(len(by_bowl), bool)
    # The waterline of facets whose water lies to its left seen from above: area positive for the outside of a body.
    volume, *moments = by_bowl[keep].sum(axis=0).tolist()
    moment, area, first = np.array(moments[:3]), moments[3], np.array(moments[4:6])
    xx, yy, xy = moments[6:]
    second = np.array([[xx, xy], [xy, yy]])
    centre = (moment / volume if volume > 0 else np.zeros(3)) @ to_body + foot_m
    middle = first / area if area > 1e-15 else np.zeros(2)
    return Submerged(
        float(volume),
        centre,
        float(area),
        middle @ axes + foot_m,
        second - area * np.outer(middle, middle),
        axes,
        int((~keep).sum()),
    )
