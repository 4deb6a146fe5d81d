"""The flat shell triangle, all elements at once: bending by discrete Kirchhoff theory, membrane with drilling turns.

Eighteen unknowns an element: u, v, w and the three turns at each corner. Bending (DKT) has no shear and so suits skins
that are thin against their curvature; the membrane part (optimal template, OPT) bends in its own plane as a beam does
and gives the turn about the normal a stiffness of its own, so nothing has to be invented against flat patches.

Arrays are ``(m, ...)`` over the triangles; local axes: x along the first edge, z the normal by the winding.

References: Batoz, Bathe & Ho, Int. J. Numer. Methods Eng. 15 (1980) 1771-1812 (DKT); Felippa, Comput. Methods Appl.
Mech. Eng. 192 (2003) 2125-2168 (OPT; both from memory, held by the patch tests).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

# Corner order of the local unknowns: (u, v, w, rx, ry, rz) at each corner.
MEMBRANE = np.array([0, 1, 5, 6, 7, 11, 12, 13, 17])
BENDING = np.array([2, 3, 4, 8, 9, 10, 14, 15, 16])

_MIDSIDES = np.array([[0.5, 0.5], [0.0, 0.5], [0.5, 0.0]])  # exact for quadratics: the bending energy


@dataclass(frozen=True, eq=False)
class Facets:
    """Plane geometry of the triangles. ``axes`` (m, 3, 3) rows x, y, z; ``xy`` (m, 3, 2) corners; ``area`` (m,)."""

    axes: np.ndarray
    xy: np.ndarray
    area: np.ndarray

    @property
    def edges(self) -> tuple[np.ndarray, np.ndarray]:
        """x_j - x_i and y_j - y_i for every pair, (m, 3, 3) each: ``x[:, i, j]`` = x_i - x_j."""
        return self.xy[:, :, None, 0] - self.xy[:, None, :, 0], self.xy[:, :, None, 1] - self.xy[:, None, :, 1]


def facets(vertices_m: np.ndarray, triangles: np.ndarray) -> Facets:
    """Local axes and corners of ``triangles`` (m, 3) over ``vertices_m`` (n, 3)."""
    p = vertices_m[triangles]
    along, other = p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]
    normal = np.cross(along, other)
    double = np.linalg.norm(normal, axis=1)
    tiny = np.finfo(float).tiny  # a triangle without area keeps area 0 and is refused by the model
    x = along / np.maximum(np.linalg.norm(along, axis=1), tiny)[:, None]
    z = normal / np.maximum(double, tiny)[:, None]
    axes = np.stack([x, np.cross(z, x), z], axis=1)
    xy = np.einsum("mij,mcj->mci", axes[:, :2], p - p.mean(axis=1, keepdims=True))
    return Facets(axes, xy, double / 2)


def plane_stress(youngs_pa: np.ndarray, poisson: np.ndarray) -> np.ndarray:
    """Plane-stress matrices (m, 3, 3) [Pa] for strains (xx, yy, 2 xy)."""
    youngs, nu = np.asarray(youngs_pa, float), np.asarray(poisson, float)
    out = np.zeros((*youngs.shape, 3, 3))
    factor = youngs / (1 - nu**2)
    out[..., 0, 0] = out[..., 1, 1] = factor
    out[..., 0, 1] = out[..., 1, 0] = factor * nu
    out[..., 2, 2] = factor * (1 - nu) / 2
    return out


def membrane_strain(f: Facets) -> np.ndarray:
    """Mean membrane strain (xx, yy, 2 xy) per unknown (u, v, rz at each corner), (m, 3, 9)."""
    x, y = f.edges
    alpha = 1.5
    out = np.empty((len(f.area), 3, 9))
    for i in range(3):
        j, k = (i + 1) % 3, (i + 2) % 3
        yjk, xkj = y[:, j, k], x[:, k, j]
        out[:, :, 3 * i] = np.stack([yjk, 0 * yjk, xkj], axis=1)
        out[:, :, 3 * i + 1] = np.stack([0 * yjk, xkj, yjk], axis=1)
        out[:, :, 3 * i + 2] = (alpha / 6) * np.stack(
            [
                yjk * (y[:, i, k] - y[:, j, i]),
                xkj * (x[:, k, i] - x[:, i, j]),
                2 * (x[:, k, i] * y[:, i, k] - x[:, i, j] * y[:, j, i]),
            ],
            axis=1,
        )
    return out / (2 * f.area)[:, None, None]


def _membrane_higher(f: Facets, c: np.ndarray, thickness: np.ndarray, nu: np.ndarray) -> np.ndarray:
    """Stiffness of in-plane bending, (m, 9, 9): what the mean strain does not see."""
    x, y = f.edges
    area = f.area
    l21, l32, l13 = (x[:, i, j] ** 2 + y[:, i, j] ** 2 for i, j in ((1, 0), (2, 1), (0, 2)))
    # natural strains along the three sides from cartesian ones
    te = (
        np.stack(
            [
                np.stack(
                    [y[:, 1, 2] * y[:, 0, 2] * l21, y[:, 2, 0] * y[:, 1, 0] * l32, y[:, 0, 1] * y[:, 2, 1] * l13], 1
                ),
                np.stack(
                    [x[:, 1, 2] * x[:, 0, 2] * l21, x[:, 2, 0] * x[:, 1, 0] * l32, x[:, 0, 1] * x[:, 2, 1] * l13], 1
                ),
                np.stack(
                    [
                        (y[:, 1, 2] * x[:, 2, 0] + x[:, 2, 1] * y[:, 0, 2]) * l21,
                        (y[:, 2, 0] * x[:, 0, 1] + x[:, 0, 2] * y[:, 1, 0]) * l32,
                        (y[:, 0, 1] * x[:, 1, 2] + x[:, 1, 0] * y[:, 2, 1]) * l13,
                    ],
                    1,
                ),
            ],
            axis=1,
        )
        / (4 * area**2)[:, None, None]
    )
    natural = te.transpose(0, 2, 1) @ c @ te
    b = (1.0, 2.0, 1.0, 0.0, 1.0, -1.0, -1.0, -1.0, -2.0)
    rows = np.stack([l21, l32, l13], axis=1)[:, :, None]
    scale = (2 * area / 3)[:, None, None]
    q1 = scale * np.array([[b[0], b[1], b[2]], [b[3], b[4], b[5]], [b[6], b[7], b[8]]]) / rows
    q2 = scale * np.array([[b[8], b[6], b[7]], [b[2], b[0], b[1]], [b[5], b[3], b[4]]]) / rows
    q3 = scale * np.array([[b[4], b[5], b[3]], [b[7], b[8], b[6]], [b[1], b[2], b[0]]]) / rows
    middles = ((q1 + q2) / 2, (q2 + q3) / 2, (q3 + q1) / 2)
    turn = np.sum([q.transpose(0, 2, 1) @ natural @ q for q in middles], axis=0)
    # turns at the corners less the mean turn of the triangle
    mean = np.empty((len(area), 9))
    mean[:, 0::3] = np.stack([x[:, 2, 1], x[:, 0, 2], x[:, 1, 0]], 1)
    mean[:, 1::3] = np.stack([y[:, 2, 1], y[:, 0, 2], y[:, 1, 0]], 1)
    mean[:, 2::3] = 0.0
    hier = np.repeat((mean / (4 * area)[:, None])[:, None], 3, axis=1)
    for i in range(3):
        hier[:, i, 3 * i + 2] += 1.0
    beta = np.maximum(0.5 * (1 - 4 * nu**2), 0.01)
    return hier.transpose(0, 2, 1) @ turn @ hier * (0.75 * beta * area * thickness)[:, None, None]


_Sides = tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]
"""p, q, r and t of the sides 4, 5 and 6, each (m, 3), as Batoz names them."""


def _along_xi(sides: _Sides, xi: np.ndarray, eta: np.ndarray) -> tuple[list[np.ndarray], list[np.ndarray]]:
    """Slopes of the turns along the first area coordinate, per unknown."""
    p, q, r, t = sides
    p4, p5, p6 = (p[:, i, None] for i in range(3))
    t4, t5, t6 = (t[:, i, None] for i in range(3))
    q4, q5, q6 = (q[:, i, None] for i in range(3))
    r4, r5, r6 = (r[:, i, None] for i in range(3))
    hx_xi = [
        p6 * (1 - 2 * xi) + (p5 - p6) * eta,
        q6 * (1 - 2 * xi) - (q5 + q6) * eta,
        -4 + 6 * (xi + eta) + r6 * (1 - 2 * xi) - eta * (r5 + r6),
        -p6 * (1 - 2 * xi) + eta * (p4 + p6),
        q6 * (1 - 2 * xi) - eta * (q6 - q4),
        -2 + 6 * xi + r6 * (1 - 2 * xi) + eta * (r4 - r6),
        -eta * (p5 + p4),
        eta * (q4 - q5),
        -eta * (r5 - r4),
    ]
    hy_xi = [
        t6 * (1 - 2 * xi) + eta * (t5 - t6),
        1 + r6 * (1 - 2 * xi) - eta * (r5 + r6),
        -q6 * (1 - 2 * xi) + eta * (q5 + q6),
        -t6 * (1 - 2 * xi) + eta * (t4 + t6),
        -1 + r6 * (1 - 2 * xi) + eta * (r4 - r6),
        -q6 * (1 - 2 * xi) - eta * (q4 - q6),
        -eta * (t4 + t5),
        eta * (r4 - r5),
        -eta * (q4 - q5),
    ]
    return hx_xi, hy_xi


def _along_eta(sides: _Sides, xi: np.ndarray, eta: np.ndarray) -> tuple[list[np.ndarray], list[np.ndarray]]:
    """Slopes of the turns along the second area coordinate, per unknown."""
    p, q, r, t = sides
    p4, p5, p6 = (p[:, i, None] for i in range(3))
    t4, t5, t6 = (t[:, i, None] for i in range(3))
    q4, q5, q6 = (q[:, i, None] for i in range(3))
    r4, r5, r6 = (r[:, i, None] for i in range(3))
    hx_eta = [
        -p5 * (1 - 2 * eta) - xi * (p6 - p5),
        q5 * (1 - 2 * eta) - xi * (q5 + q6),
        -4 + 6 * (xi + eta) + r5 * (1 - 2 * eta) - xi * (r5 + r6),
        xi * (p4 + p6),
        xi * (q4 - q6),
        -xi * (r6 - r4),
        p5 * (1 - 2 * eta) - xi * (p4 + p5),
        q5 * (1 - 2 * eta) + xi * (q4 - q5),
        -2 + 6 * eta + r5 * (1 - 2 * eta) + xi * (r4 - r5),
    ]
    hy_eta = [
        -t5 * (1 - 2 * eta) - xi * (t6 - t5),
        1 + r5 * (1 - 2 * eta) - xi * (r5 + r6),
        -q5 * (1 - 2 * eta) + xi * (q5 + q6),
        xi * (t4 + t6),
        xi * (r4 - r6),
        -xi * (q4 - q6),
        t5 * (1 - 2 * eta) - xi * (t4 + t5),
        -1 + r5 * (1 - 2 * eta) + xi * (r4 - r5),
        -q5 * (1 - 2 * eta) - xi * (q4 - q5),
    ]
    return hx_eta, hy_eta


def bending_strain(f: Facets, points: np.ndarray = _MIDSIDES) -> np.ndarray:
    """Curvatures (xx, yy, 2 xy; strain over z, so positive stretches the +z face) per (w, rx, ry), (m, points, 3, 9).

    ``points`` (p, 2) area coordinates of corners 2 and 3.
    """
    x, y = f.edges
    pairs = ((1, 2), (2, 0), (0, 1))  # sides 4, 5, 6
    xs = np.stack([x[:, i, j] for i, j in pairs], 1)
    ys = np.stack([y[:, i, j] for i, j in pairs], 1)
    l2 = xs**2 + ys**2
    p, t = -6 * xs / l2, -6 * ys / l2
    q, r = 3 * xs * ys / l2, 3 * ys**2 / l2
    xi, eta = points[:, 0], points[:, 1]
    turns = [*_along_xi((p, q, r, t), xi, eta), *_along_eta((p, q, r, t), xi, eta)]
    stack = [np.stack(np.broadcast_arrays(*h), axis=-1) for h in turns]
    hx1, hy1, hx2, hy2 = (np.broadcast_to(h, (len(f.area), len(points), 9)) for h in stack)
    x31, y31, x12, y12 = (a[:, None, None] for a in (x[:, 2, 0], y[:, 2, 0], x[:, 0, 1], y[:, 0, 1]))
    out = np.stack(
        [
            y31 * hx1 + y12 * hx2,
            -x31 * hy1 - x12 * hy2,
            -x31 * hx1 - x12 * hx2 + y31 * hy1 + y12 * hy2,
        ],
        axis=2,
    )
    return out / (2 * f.area)[:, None, None, None]


def gradients(f: Facets) -> np.ndarray:
    """Slopes of the linear shape functions, (m, 3 corners, 2)."""
    x, y = f.edges
    rows = [np.stack([y[:, (i + 1) % 3, (i + 2) % 3], x[:, (i + 2) % 3, (i + 1) % 3]], axis=1) for i in range(3)]
    return np.stack(rows, axis=1) / (2 * f.area)[:, None, None]


def element_stiffness(
    f: Facets, thickness_m: np.ndarray, youngs_pa: np.ndarray, poisson: np.ndarray, mean_membrane: bool = True
) -> np.ndarray:
    """Stiffness (m, 18, 18) in local axes; without the share of the mean membrane strain if so asked."""
    c = plane_stress(youngs_pa, poisson)
    volume = f.area * thickness_m
    membrane = _membrane_higher(f, c, thickness_m, poisson)
    if mean_membrane:
        mean = membrane_strain(f)
        membrane += np.matmul(mean.transpose(0, 2, 1), c * volume[:, None, None]) @ mean
    bend = bending_strain(f).reshape(len(volume), 9, 9)  # three points, three curvatures
    rigidity = np.kron(np.eye(3), np.ones((3, 3))) * np.tile(
        c * (volume * thickness_m**2 / 36)[:, None, None], (1, 3, 3)
    )
    k = np.zeros((len(volume), 18, 18))
    k[:, MEMBRANE[:, None], MEMBRANE] = membrane
    k[:, BENDING[:, None], BENDING] = bend.transpose(0, 2, 1) @ rigidity @ bend
    return k


def to_global(f: Facets, k: np.ndarray) -> np.ndarray:
    """Local element matrices (m, 18, 18) as blocks (m, 3 corners, 3 corners, 6, 6) in global axes."""
    m = len(k)
    turned = f.axes.transpose(0, 2, 1)[:, None] @ k.reshape(m, 6, 3, 18)
    turned = turned.reshape(m, 18, 6, 3) @ f.axes[:, None]
    return turned.reshape(m, 3, 6, 3, 6).transpose(0, 1, 3, 2, 4)


def to_local(f: Facets, u: np.ndarray) -> np.ndarray:
    """Global corner values (m, 3, 6) as local element unknowns (m, 18)."""
    m = len(u)
    return np.matmul(u.reshape(m, 6, 3), f.axes.transpose(0, 2, 1)).reshape(m, 18)
