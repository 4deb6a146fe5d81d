"""Skin and set foam as one elastic body: solved bare, with foam that only pushes, and bonded."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import numpy as np
import scipy.sparse as sp
import scipy.sparse.linalg as sla

from pourwright.errors import ShellError
from pourwright.fem import UNKNOWNS, Factor, ShellModel
from pourwright.structure.foam import FoamBlock, Joint, join, whole_stiffness

PATCH = 0.6180339887498949  # bonded patches: a share of the vertices, spread evenly by the golden ratio
SLACK = 0.1  # of the joint's stiffness across, where skin and foam only touch: what the iteration can take
SET_ROUNDS = 2  # times the set of touching points is found anew
PARTED = 0.02  # share of touching points that may still change when the search ends
CLOSE = 1e-3  # of the load, left by the iteration


class Filled:
    """A held skin with foam in it.

    Parameters
    ----------
    model : the skin.
    wall_m : (n,) wall at each vertex.
    foam : the foam.
    held : (n, 6) bool.

    Notes
    -----
    Linear: small movements. ``before``, ``sliding`` and ``bonded`` are factored when first asked for and dropped with
    ``free``, since each may take a gigabyte.
    """

    def __init__(self, model: ShellModel, wall_m: np.ndarray, foam: FoamBlock, held: np.ndarray):
        self.model, self.foam, self.held = model, foam, np.asarray(held, bool)
        self.joint: Joint = join(model, foam, wall_m)
        if len(self.joint.vertex) < 3:
            raise ShellError("the foam does not reach the skin on this grid: give a smaller cell")
        self._skin = model.assemble()
        self._both = whole_stiffness(self._skin, foam.assemble())
        count = len(model.vertices_m)
        self._places = np.vstack([model.vertices_m, foam.nodes_m])
        self._node = np.r_[np.repeat(np.arange(count), UNKNOWNS), count + np.repeat(np.arange(len(foam.nodes_m)), 3)]
        self._held = np.r_[self.held.ravel(), np.zeros(foam.size, bool)]
        self._factors: dict[str, Factor] = {}
        self.unsettled = 0  # iterations of ``touching`` that were cut short

    def _stiffness(self, along: np.ndarray, across: np.ndarray) -> sp.csr_array:
        return sp.csr_array(self._both + self.joint.assemble(along, across))

    def _factor(self, name: str, along: np.ndarray, across: np.ndarray) -> Factor:
        if name not in self._factors:
            self.free()
            self._factors[name] = Factor(self._stiffness(along, across), self._held, self._places, self._node)
        return self._factors[name]

    def free(self) -> None:
        """Forget factors."""
        self._factors = {}

    def padded(self, load: np.ndarray, foam_load: np.ndarray | None = None) -> np.ndarray:
        """Skin loads (size,) or (size, k) with those on the foam (zero if left out)."""
        extra = np.zeros((self.foam.size, *load.shape[1:])) if foam_load is None else foam_load
        return np.concatenate([load, extra])

    def before(self, load: np.ndarray) -> np.ndarray:
        """Movement of the empty skin under skin loads (size,) or (size, k)."""
        if "before" not in self._factors:
            self.free()
            self._factors["before"] = Factor(self._skin, self.held, self.model.vertices_m)
        return self._factors["before"].solve(load)

    def patches(self, bond: float) -> np.ndarray:
        """Which touching vertices are bonded (k,), a share ``bond`` of them spread evenly."""
        return np.mod((np.arange(len(self.joint.vertex)) + 0.5) * PATCH, 1.0) < bond

    def bonded(self, load: np.ndarray, bond: float = 1.0) -> np.ndarray:
        """Movement with a bond over a share of the skin, the rest sliding but held across; loads (whole size, k)."""
        along = self.patches(bond).astype(float)
        return self._factor(f"bonded {bond}", along, np.ones_like(along)).solve(load)

    def sliding(self, load: np.ndarray) -> np.ndarray:
        """Movement with foam that slides along the skin but stays on it; right where the load presses all over."""
        k = len(self.joint.vertex)
        return self._factor("sliding", np.zeros(k), np.full(k, SLACK)).solve(load)

    def touching(self, load: np.ndarray) -> tuple[np.ndarray, float]:
        """Movement (whole size,) where foam slides and only pushes, and the share of the joint that still touches.

        The set of touching points is found by turns; each is solved by conjugate gradients on the sliding factor.
        """
        k = len(self.joint.vertex)
        u = self.sliding(load)
        factor = self._factors["sliding"]
        free = ~self._held
        size = len(load)

        def whole(part: np.ndarray) -> np.ndarray:
            out = np.zeros(size)
            out[free] = part
            return out

        near = sla.LinearOperator(
            (int(free.sum()),) * 2, matvec=lambda r: factor.solve(whole(np.ravel(r)))[free], dtype=float
        )
        touch = np.ones(k, bool)
        for _ in range(SET_ROUNDS):
            opening = self.joint.opening(u)
            now = opening <= 0
            if (now != touch).mean() < PARTED:
                break
            touch = now
            stiff = self._stiffness(np.zeros(k), SLACK * touch)[free][:, free]
            found, left = sla.cg(stiff, load[free], x0=u[free], rtol=CLOSE, maxiter=50, M=near)
            self.unsettled += left > 0
            u = whole(found)
        return u, float(touch.mean())

    def touching_many(self, loads: list[np.ndarray]) -> list[tuple[np.ndarray, float]]:
        """``touching`` for several loads, two at a time."""
        self.sliding(loads[0])  # factored once, before the work is shared
        with ThreadPoolExecutor(2) as pool:
            return list(pool.map(self.touching, loads))

    def skin(self, movement: np.ndarray) -> np.ndarray:
        """The skin's unknowns (n, 6) of a whole movement."""
        return movement[: self.model.size].reshape(-1, UNKNOWNS)
