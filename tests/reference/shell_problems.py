"""The published problems that the shell triangle is checked against, ready to run on any mesh.

Each function gives the computed quantity over its reference; ``docs/verify_shell.py`` prints them as tables.

Sources: MacNeal & Harder, Finite Elem. Anal. Des. 1 (1985) 3-20 (roof, hemisphere, beams, plates, patches; values
through secondary copies and from memory); Belytschko et al., Comput. Methods Appl. Mech. Eng. 51 (1985) 221-258
(pinched cylinder, whole hemisphere; from memory); Timoshenko & Woinowsky-Krieger 1959 (plates).
"""

from __future__ import annotations

import numpy as np
import scipy.sparse as sp

from pourwright.fem.equilibrium import equilibrium, springs
from pourwright.fem.factor import Factor
from pourwright.fem.model import ShellModel
from pourwright.fem.stress import skin_stress


def grid(nx: int, ny: int, diagonal: str = "one way") -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Unit square of nx x ny cells cut in two, ``one way``, ``other way`` or ``crossed``: x, y (n,), triangles."""
    index = np.arange((nx + 1) * (ny + 1)).reshape(ny + 1, nx + 1)
    a, b, c, d = index[:-1, :-1], index[:-1, 1:], index[1:, 1:], index[1:, :-1]
    cell = np.add.outer(np.arange(ny), np.arange(nx)) % 2
    other = {"one way": cell * 0, "other way": cell * 0 + 1, "crossed": cell}[diagonal].ravel()[:, None] == 1
    a, b, c, d = (k.ravel() for k in (a, b, c, d))
    first = np.where(other, np.c_[a, b, d], np.c_[a, b, c])
    second = np.where(other, np.c_[b, c, d], np.c_[a, c, d])
    x, y = np.meshgrid(np.linspace(0, 1, nx + 1), np.linspace(0, 1, ny + 1))
    return x.ravel(), y.ravel(), np.concatenate([first, second])


def held_at(n: int, *supports: tuple[np.ndarray, tuple[int, ...]]) -> np.ndarray:
    """Flags (n, 6) from pairs of a vertex mask and the unknowns held there."""
    held = np.zeros((n, 6), bool)
    for mask, unknowns in supports:
        held[np.ix_(mask, np.array(unknowns))] = True
    return held


def _move(model: ShellModel, held: np.ndarray, load: np.ndarray) -> np.ndarray:
    return Factor(model.assemble(), held, model.vertices_m).solve(load).reshape(-1, 6)


def scordelis_lo_roof(n: int, diagonal: str = "one way") -> float:
    """Roof under its weight, quarter, free-edge middle over 0.3024."""
    x, y, faces = grid(n, n, diagonal)
    angle = np.radians(40) * x
    model = ShellModel(np.c_[25 * np.sin(angle), 25 * y, 25 * np.cos(angle)], faces, 0.25, 4.32e8, 0.0)
    held = held_at(len(x), (y == 0, (0, 2)), (y == 1, (1, 3, 5)), (x == 0, (0, 4, 5)))
    u = _move(model, held, model.traction_load(np.array([0.0, 0.0, -90.0])))
    return -float(u[(x == 1) & (y == 1), 2][0]) / 0.3024


def pinched_cylinder(n: int, diagonal: str = "one way") -> float:
    """Cylinder with end diaphragms, octant, under the load over 1.8248e-5."""
    x, y, faces = grid(n, n, diagonal)
    angle = np.pi / 2 * x
    model = ShellModel(np.c_[300 * np.sin(angle), 300 * y, 300 * np.cos(angle)], faces, 3.0, 3e6, 0.3)
    held = held_at(len(x), (y == 0, (0, 2)), (y == 1, (1, 3, 5)), (x == 0, (0, 4, 5)), (x == 1, (2, 3, 4)))
    spot = np.flatnonzero((x == 0) & (y == 1))
    u = _move(model, held, model.nodal_load(spot, np.array([0, 0, -0.25])))
    return -float(u[spot[0], 2]) / 1.8248e-5


def hemisphere(n: int, hole_deg: float = 18.0, reference: float = 0.0935, diagonal: str = "one way") -> float:
    """Pinched hemisphere, quarter, under a load; with the 18 degree hole over 0.0935 (whole: 0.5 degree, 0.0924)."""
    x, y, faces = grid(n, n, diagonal)
    up, round_ = np.radians(90 - hole_deg) * y, np.pi / 2 * x
    places = 10 * np.c_[np.cos(up) * np.cos(round_), np.cos(up) * np.sin(round_), np.sin(up)]
    model = ShellModel(places, faces, 0.04, 6.825e7, 0.3)
    a, b = (x == 0) & (y == 0), (x == 1) & (y == 0)
    held = held_at(len(x), (x == 0, (1, 3, 5)), (x == 1, (0, 4, 5)), (a, (2,)))
    load = model.nodal_load(np.flatnonzero(a), np.array([1.0, 0, 0])) + model.nodal_load(
        np.flatnonzero(b), np.array([0, -1.0, 0])
    )
    return float(_move(model, held, load)[a, 0][0]) / reference


def twisted_beam(n: int, thin: bool = False, diagonal: str = "one way") -> tuple[float, float]:
    """Beam twisted by 90 degrees, n x n/6 cells, tip over 5.424e-3 in its plane and 1.754e-3 out of it."""
    x, y, faces = grid(n, n // 6, diagonal)
    angle, s = np.pi / 2 * x, 1.1 * (y - 0.5)
    thickness, force, references = (0.0032, 1e-6, (5.256e-3, 1.294e-3)) if thin else (0.32, 1.0, (5.424e-3, 1.754e-3))
    model = ShellModel(np.c_[12 * x, s * np.cos(angle), s * np.sin(angle)], faces, thickness, 29e6, 0.22)
    tip = np.flatnonzero((x == 1) & (np.abs(y - 0.5) < 1e-9))
    loads = np.stack([model.nodal_load(tip, force * np.eye(3)[d]) for d in (2, 1)], axis=1)
    factor = Factor(model.assemble(), held_at(len(x), (x == 0, tuple(range(6)))), model.vertices_m)
    u = factor.solve(loads).reshape(-1, 6, 2)[tip[0]]
    return float(u[2, 0]) / references[0], float(u[1, 1]) / references[1]


def _tip_loads(model: ShellModel, tip: np.ndarray, unit: np.ndarray) -> np.ndarray:
    return model.nodal_load(np.flatnonzero(tip), unit / tip.sum())


def straight_beam(form: str = "regular", refine: int = 1) -> dict[str, float]:
    """Cantilever of 6 x 1 cells (times ``refine``), each load case over its reference.

    ``form`` of the cells: regular, trapezoid or parallelogram.
    """
    x, y, faces = grid(6 * refine, refine)
    long = 6.0 * x
    # MacNeal & Harder slant the inner cell sides by 45 degrees: by the width over the beam's width of 0.2
    inner = (x > 1e-9) & (x < 1 - 1e-9)
    column = np.round(x * 6 * refine).astype(int)
    sign = np.where(column % 2 == 1, 1.0, -1.0) if form == "trapezoid" else 1.0
    if form != "regular":
        long = long + np.where(inner, sign * 0.2 / refine * (y - 0.5), 0.0)
    model = ShellModel(np.c_[long, 0.2 * y, 0 * x], faces, 0.1, 1e7, 0.3)
    held = held_at(len(x), (x == 0, tuple(range(6))))
    tip = x == 1
    factor = Factor(model.assemble(), held, model.vertices_m)
    twist = np.zeros((len(x), 6))
    twist[tip & (y == 1), 2], twist[tip & (y == 0), 2] = 5.0, -5.0  # unit torque over the width
    cases = {
        "extension": (_tip_loads(model, tip, np.array([1.0, 0, 0])), 0, 3.0e-5),
        "in plane": (_tip_loads(model, tip, np.array([0, 1.0, 0])), 1, 0.1081),
        "out of plane": (_tip_loads(model, tip, np.array([0, 0, 1.0])), 2, 0.4321),
        "twist": (twist.ravel(), 3, 0.03208),
    }
    u = factor.solve(np.stack([c[0] for c in cases.values()], axis=1)).reshape(-1, 6, len(cases))[tip].mean(axis=0)
    return {name: float(u[c[1], i]) / c[2] for i, (name, c) in enumerate(cases.items())}


def curved_beam(refine: int = 1) -> dict[str, float]:
    """Quarter-circle cantilever of 6 x 1 cells (times ``refine``), loaded across its tip, over its reference."""
    x, y, faces = grid(6 * refine, refine)
    r, angle = 4.12 + 0.2 * y, np.pi / 2 * x
    model = ShellModel(np.c_[r * np.sin(angle), r * np.cos(angle), 0 * x], faces[:, ::-1], 0.1, 1e7, 0.25)
    held = held_at(len(x), (x == 0, tuple(range(6))))
    tip = x == 1
    loads = np.stack([_tip_loads(model, tip, d) for d in (np.array([1.0, 0, 0]), np.array([0, 0, 1.0]))], axis=1)
    u = Factor(model.assemble(), held, model.vertices_m).solve(loads).reshape(-1, 6, 2)[tip].mean(axis=0)
    return {"in plane": float(u[0, 0]) / 0.08734, "out of plane": float(u[2, 1]) / 0.5022}


def quarter_plate(
    n: int, edges: str, width: float = 1.0, length: float = 1.0, thickness: float = 1e-3, diagonal: str = "one way"
) -> tuple[ShellModel, np.ndarray, int]:
    """Quarter of a plate (E = 1, nu = 0.3) with held edges at x = 0 and y = 0: model, supports, centre vertex."""
    x, y, faces = grid(n, n, diagonal)
    model = ShellModel(np.c_[x * width / 2, y * length / 2, 0 * x], faces, thickness, 1.0, 0.3)
    turning = {"clamped": ((3, 4, 5), (3, 4, 5)), "supported": ((3,), (4,))}[edges]
    held = held_at(
        len(x),
        (x == 0, (0, 1, 2, *turning[0])),
        (y == 0, (0, 1, 2, *turning[1])),
        (x == 1, (0, 4, 5)),
        (y == 1, (1, 3, 5)),
    )
    return model, held, int(np.flatnonzero((x == 1) & (y == 1))[0])


# w D / (q b^4) even and w D / (P b^2) at the centre, b the short side. Timoshenko & Woinowsky-Krieger 1959, recomputed,
# but for the clamped 5:1 point value (from memory).
PLATES = {
    ("supported", 1): (0.00406235, 0.0116008),
    ("supported", 5): (0.0129708, 0.0169610),
    ("clamped", 1): (0.00126532, 0.00561202),
    ("clamped", 5): (0.00260417, 0.00723),
}


def thin_plate(n: int, edges: str, ratio: int, point: bool = False, diagonal: str = "one way") -> float:
    """Centre of a thin plate (1/20000 of its width) under even pressure or a point load, over thin-plate theory."""
    model, held, centre = quarter_plate(n, edges, 1.0, float(ratio), 5e-5, diagonal)
    rigidity = 5e-5**3 / (12 * (1 - 0.09))
    load = model.nodal_load(np.array([centre]), np.array([0, 0, 0.25])) if point else model.pressure_load(np.array(1.0))
    w = _move(model, held, load * rigidity)[centre, 2]
    return float(w) / PLATES[edges, ratio][int(point)]


def clamped_edge_stress(n: int, diagonal: str = "one way") -> float:
    """Greatest stress of a clamped square plate over that of its edge, 0.3080 q b^2 / t^2 (2 n triangles across)."""
    model, held, _ = quarter_plate(n, "clamped", diagonal=diagonal)
    u = _move(model, held, model.pressure_load(1e-12))
    return float(skin_stress(model, u).peak_pa.max()) / (0.3080 * 1e-12 / 1e-3**2)


# Held square plate, nu = 0.3: q b^4 / (E t^4), w/t supported and clamped; a converged von Karman solution that agrees
# with Levy, NACA TR-737 and TR-740 (1942).
LARGE = {12.5: (0.4356, 0.1701), 50.0: (0.9438, 0.5846), 100.0: (1.2633, 0.9374), 400.0: (2.0958, 1.8631)}


def large_square(n: int, edges: str, load: float, diagonal: str = "one way") -> float:
    """Centre of a held square plate at large deflection, over the converged solution."""
    model, held, centre = quarter_plate(n, edges, diagonal=diagonal)
    rest = equilibrium(model, model.pressure_load(np.array(load * 1e-12)), held, large=True)
    return float(rest.movement.reshape(-1, 6)[centre, 2]) / 1e-3 / LARGE[load][edges == "clamped"]


def plate_on_springs(n: int, half_width: float = 8.0) -> float:
    """Wide plate on springs under a point load, over Hertz's P / (8 sqrt(k D)); lengths in (D/k)^(1/4)."""
    x, y, faces = grid(n, n, "crossed")
    place = np.c_[half_width * x**1.5, half_width * y**1.5, 0 * x]  # finer towards the load at (0, 0)
    model = ShellModel(place, faces, 0.02, 12 * (1 - 0.09) / 0.02**3, 0.3)  # D = 1
    held = held_at(len(x), (x == 0, (0, 4, 5)), (y == 0, (1, 3, 5)))
    bed = springs(model, np.arange(len(x)), np.array([0.0, 0, 1.0]), model.vertex_area_m2)
    spot = np.flatnonzero((x == 0) & (y == 0))
    factor = Factor(sp.csr_array(model.assemble() + bed), held, place)
    return 8 * float(factor.solve(model.nodal_load(spot, np.array([0, 0, 0.25]))).reshape(-1, 6)[spot[0], 2])
