"""How far straight-line figures hold: the next terms of a shell's movement in powers of its load."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from pourwright.fem import triangle
from pourwright.fem.model import UNKNOWNS, ShellModel
from pourwright.sources import Cited, Standing

LEFT_OUT = Cited(
    0.1,
    "",
    Standing.MEMORY,
    source="EN 1993-1-1:2005",
    locator="5.2.1(3)",
    note="share of the movement that a straight-line figure may leave out: there, loads up to a tenth of the critical",
)

Solve = Callable[[np.ndarray], np.ndarray]  # forces on the skin (size, k) to its movement (size, k)


class NextTerms:
    """The second and third term of a shell's movement, u = s u1 + s^2 u2 + s^3 u3 .., under s times a load.

    Parameters
    ----------
    model : the shell.

    Notes
    -----
    Perturbation about the shell at rest, with the whole square terms of the mean strain of each triangle and linear
    bending, the theory of ``equilibrium`` with ``large``. What else stiffens the shell, supports or foam, stays linear
    and comes in with the solver. Loads keep their direction.
    """

    def __init__(self, model: ShellModel):
        f = model.facets
        self._model = model
        self._strain = triangle.membrane_strain(f)
        self._slopes = triangle.gradients(f)
        self._stress = (
            triangle.plane_stress(model.youngs_pa, model.poisson) * (f.area * model.thickness_m)[:, None, None]
        )

    def of(self, first: np.ndarray, solve: Solve) -> tuple[np.ndarray, np.ndarray]:
        """Second and third term (size, k) for first terms (size, k) [m, rad]; ``solve`` as for the first."""
        second = solve(-self._forces(first, None))
        return second, solve(-self._forces(first, second))

    def _forces(self, first: np.ndarray, second: np.ndarray | None) -> np.ndarray:
        """Forces (size, k) of the second order in the first term, or of the third with the second term at hand."""
        out = np.empty_like(first)
        for k in range(first.shape[1]):
            one, turn = self._local(first[:, k])
            if second is None:
                out[:, k] = self._spread(0.5 * _square(turn, turn), ((turn, one),))
            else:
                two, more = self._local(second[:, k])
                whole = two + 0.5 * _square(turn, turn)
                out[:, k] = self._spread(_square(turn, more), ((turn, whole), (more, one)))
        return out

    def _local(self, movement: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Linear mean strain (m, 3) and slopes (m, xy, uvw) of a movement (size,), local axes."""
        m = self._model
        local = triangle.to_local(m.facets, movement.reshape(-1, UNKNOWNS)[m.triangles])
        strain = (self._strain @ local[:, triangle.MEMBRANE, None])[..., 0]
        return strain, self._slopes.transpose(0, 2, 1) @ local.reshape(-1, 3, UNKNOWNS)[:, :, :3]

    def _spread(self, strain: np.ndarray, turned: tuple[tuple[np.ndarray, np.ndarray], ...]) -> np.ndarray:
        """Forces (size,) of a strain (m, 3), and of strains on which slopes have turned the skin."""
        m = self._model
        local = np.zeros((len(m.triangles), 18))
        pull = (self._stress @ strain[..., None])[..., 0]
        local[:, triangle.MEMBRANE] = (self._strain.transpose(0, 2, 1) @ pull[..., None])[..., 0]
        corner = local.reshape(-1, 3, UNKNOWNS)
        for turn, on in turned:
            n = (self._stress @ on[..., None])[..., 0]
            each = np.stack([n[:, [0, 2]], n[:, [2, 1]]], axis=1)  # [[xx, xy], [xy, yy]] times area
            corner[:, :, :3] += self._slopes @ (each @ turn)
        turned_back = corner.reshape(-1, 6, 3) @ m.facets.axes
        return m.scatter(turned_back.reshape(-1, 3, UNKNOWNS)).ravel()


def _square(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Products (m, 3) as xx, yy, 2 xy of slopes (m, xy, uvw)."""
    return np.stack(
        [(a[:, 0] * b[:, 0]).sum(1), (a[:, 1] * b[:, 1]).sum(1), (a[:, 0] * b[:, 1] + a[:, 1] * b[:, 0]).sum(1)], axis=1
    )


def straight_up_to(first: float, second: float, third: float, share: float = LEFT_OUT.value) -> float:
    """Times the load up to which the next two terms stay below a share of the first.

    Parameters
    ----------
    first, second, third : sizes of the three terms, in one unit, under the load.
    share : of the first.

    Returns
    -------
    float
        s with s second + s^2 third = share first; inf where nothing more comes.

    Examples
    --------
    A clamped round plate with held edge, w/t = s - 0.488 s^3 (its first term set to one thickness): 0.45 thicknesses.

    >>> round(straight_up_to(1.0, 0.0, 0.488), 3)
    0.453
    """
    if not first > 0:
        return math.inf if not (second > 0 or third > 0) else 0.0
    a, b = second / first, third / first
    return 2 * share / (a + math.sqrt(a * a + 4 * b * share)) if a > 0 or b > 0 else math.inf
