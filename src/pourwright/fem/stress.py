"""Stress in the skin from its movement."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.fem import triangle
from pourwright.fem.model import UNKNOWNS, ShellModel

_CORNERS = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]])
_CENTRE = np.array([[1 / 3, 1 / 3]])


@dataclass(frozen=True, eq=False)
class SkinStress:
    """Stress of each triangle in its own axes (x along its first edge). Read-only arrays, [Pa].

    ``membrane_pa`` (m, 3) mean through the wall and ``bending_pa`` (m, 3) at the centre of the triangle on the outside
    face, components xx, yy, xy; the inside face has membrane minus bending. ``peak_pa`` (m,) is the greatest principal
    stress by size on either face, at the centre or any corner. ``von_mises_pa`` (m,) likewise.
    """

    membrane_pa: np.ndarray
    bending_pa: np.ndarray
    peak_pa: np.ndarray
    von_mises_pa: np.ndarray

    @property
    def outside_pa(self) -> np.ndarray:
        """Outside face at the centres, (m, 3)."""
        return self.membrane_pa + self.bending_pa

    @property
    def inside_pa(self) -> np.ndarray:
        """Inside face at the centres, (m, 3)."""
        return self.membrane_pa - self.bending_pa


def principal(stress_pa: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Greatest and least principal stress of plane stresses (..., 3) as xx, yy, xy [Pa].

    >>> high, low = principal(np.array([3.0, -3.0, 4.0]))
    >>> float(high), float(low)
    (5.0, -5.0)
    """
    middle = (stress_pa[..., 0] + stress_pa[..., 1]) / 2
    radius = np.hypot((stress_pa[..., 0] - stress_pa[..., 1]) / 2, stress_pa[..., 2])
    return middle + radius, middle - radius


def von_mises(stress_pa: np.ndarray) -> np.ndarray:
    """Equivalent stress of plane stresses (..., 3) as xx, yy, xy [Pa].

    >>> float(von_mises(np.array([0.0, 0.0, 1.0])).round(6))
    1.732051
    """
    x, y, xy = (stress_pa[..., i] for i in range(3))
    return np.sqrt(np.maximum(x**2 - x * y + y**2 + 3 * xy**2, 0.0))


def mean_strain(model: ShellModel, local: np.ndarray, large: bool) -> np.ndarray:
    """Mean membrane strain (m, 3) of local element movements (m, 18), with the square terms of ``large`` movement."""
    strain = (triangle.membrane_strain(model.facets) @ local[:, triangle.MEMBRANE, None])[..., 0]
    if large:
        slope = triangle.gradients(model.facets).transpose(0, 2, 1) @ local.reshape(-1, 3, UNKNOWNS)[:, :, :3]
        x, y = slope[:, 0], slope[:, 1]
        strain = strain + np.stack([(x * x).sum(1) / 2, (y * y).sum(1) / 2, (x * y).sum(1)], axis=1)
    return strain


def skin_stress(model: ShellModel, movement: np.ndarray, large: bool = False) -> SkinStress:
    """Stress from the unknowns ``movement`` (size,) of a solve.

    Parameters
    ----------
    model : the shell.
    movement : (size,) or (n, 6) [m, rad].
    large : count the stretch that sideways movement brings (as ``equilibrium`` with ``large=True`` does).

    Returns
    -------
    SkinStress

    Notes
    -----
    Membrane stress is the mean of a triangle; bending stress varies about linearly in it, and at the corners it runs
    ahead: the peak at a clamped edge is 5, 3 and 2 % high with 16, 32 and 64 triangles across a square panel (see
    docs/verification_shell.md). Under a point load the true stress has no bound and the peak is the mesh's.
    """
    u = np.asarray(movement, float).reshape(-1, UNKNOWNS)
    local = triangle.to_local(model.facets, u[model.triangles])
    c = triangle.plane_stress(model.youngs_pa, model.poisson)
    membrane = (c @ mean_strain(model, local, large)[..., None])[..., 0]
    points = np.vstack([_CENTRE, _CORNERS])
    curvature = (triangle.bending_strain(model.facets, points) @ local[:, None, triangle.BENDING, None])[..., 0]
    bending = (curvature @ c.transpose(0, 2, 1)) * (model.thickness_m / 2)[:, None, None]
    faces = np.stack([membrane[:, None] + bending, membrane[:, None] - bending], axis=1)
    high, low = principal(faces)
    peak = np.maximum(np.abs(high), np.abs(low)).max(axis=(1, 2))
    out = (membrane, bending[:, 0], peak, von_mises(faces).max(axis=(1, 2)))
    for array in out:
        array.setflags(write=False)
    return SkinStress(*out)
