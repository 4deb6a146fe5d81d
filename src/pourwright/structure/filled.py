"""Skin and set foam as one elastic body: solved bare, with foam that only pushes, and bonded."""

from __future__ import annotations

import math
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import scipy.sparse as sp
from scipy.spatial import cKDTree

from pourwright.errors import ShellError
from pourwright.fem import UNKNOWNS, Factor, NextTerms, ShellModel
from pourwright.structure.coarse import Coarse, coarse_body
from pourwright.structure.foam import FoamBlock, Joint, join, whole_stiffness

PATCH = 0.6180339887498949  # bonded patches: a share of the vertices, spread evenly by the golden ratio
NOTHING = 1e-300
SET_ROUNDS = 30  # times the set of touching points is found anew, at most
SETTLED = 3e-3  # of the load's work, that may still change when the search ends


Terms = tuple[np.ndarray, np.ndarray]


@dataclass(frozen=True, eq=False)
class Touched:
    """Movement (whole size,) where foam only pushes, the share that touches, and the skin's next terms (size,)."""

    movement: np.ndarray
    share: float
    second: np.ndarray
    third: np.ndarray


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
        self._wall = np.asarray(wall_m, float)
        if len(self.joint.vertex) < 3:
            raise ShellError("the foam does not reach the skin on this grid: give a smaller cell")
        self._skin = model.assemble()
        # The joint's entries are there from the start, next to nothing: all matrices have one pattern and one order.
        self._both = sp.csr_array(whole_stiffness(self._skin, foam.assemble()) + NOTHING * self.joint.pattern())
        count = len(model.vertices_m)
        self._places = np.vstack([model.vertices_m, foam.nodes_m])
        self._node = np.r_[np.repeat(np.arange(count), UNKNOWNS), count + np.repeat(np.arange(len(foam.nodes_m)), 3)]
        self._held = np.r_[self.held.ravel(), np.zeros(foam.size, bool)]
        self._factors: dict[str, Factor] = {}
        self._order: Factor | None = None  # of the skin on foam, its numbers dropped
        self.unsettled = 0  # searches of ``touching`` that were cut short

    def _stiffness(self, along: np.ndarray, across: np.ndarray) -> sp.csr_array:
        return sp.csr_array(self._both + self.joint.assemble(along, across))

    def _factor(self, name: str, along: np.ndarray, across: np.ndarray) -> Factor:
        if name not in self._factors:
            self.free()
            self._factors[name] = self._whole(along, across)
        return self._factors[name]

    def _whole(self, along: np.ndarray, across: np.ndarray) -> Factor:
        return Factor(self._stiffness(along, across), self._held, self._places, self._node, like=self._order)

    def free(self) -> None:
        """Forget factors; the order of those with foam is kept."""
        for name, factor in self._factors.items():
            if name != "before":
                factor.forget()
                self._order = factor
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
        return self._factor("sliding", *self._where(np.ones(len(self.joint.vertex), bool))).solve(load)

    def _where(self, touch: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Shares held along and across the skin where it slides on foam at ``touch`` (k,)."""
        return np.zeros(len(touch)), touch.astype(float)

    def touching(self, load: np.ndarray) -> tuple[np.ndarray, float]:
        """Movement (whole size,) where foam slides and only pushes, and the share of the joint that still touches.

        Skin and foam lie on one another without force before the load comes. Where they part is found by turns: solve
        with foam joined where it touches, let go where it pulls, join where skin and foam overlap (Newton's method for
        one-sided springs; the answer is the only one). It ends when no point changes, or when the work of the load
        changes by less than 0.3 %: the movement is then about that near, while points that bear next to nothing may
        still come and go. ``unsettled`` counts searches that did not get there. The search begins where a coarser skin
        on coarser foam touches.
        """
        u, share, _ = self._touched(load)
        return u, share

    def _touched(self, load: np.ndarray) -> tuple[np.ndarray, float, Factor]:
        """``touching``, with the factor of skin and foam joined where they were when the search ended."""
        touch = self._guess(load)
        if touch is None:
            touch = np.ones(len(self.joint.vertex), bool)
        factor = self._whole(*self._where(touch))
        u = factor.solve(load)
        work = math.inf
        for _ in range(SET_ROUNDS):
            now = self.joint.opening(u) <= 0
            before, work = work, float(load @ u)
            if (now == touch).all() or abs(work - before) < SETTLED * abs(work):
                return u, float(now.mean()), factor
            touch = now
            factor = self._whole(*self._where(touch))
            u = factor.solve(load)
        self.unsettled += 1
        return u, float(touch.mean()), factor

    def _guess(self, load: np.ndarray) -> np.ndarray | None:
        """Where a coarser skin on coarser foam touches under this load (k,), if there is one."""
        if self.coarse is None:
            return None
        less, body = self.coarse
        moved, _ = body.touching(less.load(self.model, load))
        fine = self.model.vertices_m[self.joint.vertex]
        _, near = cKDTree(body.model.vertices_m[body.joint.vertex]).query(fine)
        return np.asarray((body.joint.opening(moved) <= 0)[near])

    @cached_property
    def coarse(self) -> tuple[Coarse, Filled] | None:
        """A coarser body, that finds a first guess of where skin and foam touch."""
        less = coarse_body(self.model, self._wall, self.foam, self.held)
        if less is None:
            return None
        try:
            body = Filled(less.model, less.wall_m, less.foam, less.held)
            body.sliding(np.zeros(less.model.size + less.foam.size))
            body._order = body._factors["sliding"]
            _ = body.coarse  # all made before threads share them
        except ShellError:
            return None
        return less, body

    def touching_many(self, loads: np.ndarray, told: Callable[[], None] = lambda: None) -> list[Touched]:
        """``touching`` for several loads (whole size, k), two at a time, with the next terms; ``told`` after each."""
        self._ordered()
        _ = self.coarse  # both made once, before the work is shared

        def one(load: np.ndarray) -> Touched:
            moved, share, factor = self._touched(load)
            second, third = self.terms.of(self.skin_of(moved)[:, None], lambda p: self._skin_moved(factor, p))
            return Touched(moved, share, second[:, 0], third[:, 0])

        out = []
        with ThreadPoolExecutor(2) as pool:
            for found in pool.map(one, loads.T.copy()):
                out.append(found)
                told()
        return out

    def _ordered(self) -> None:
        """Make the order of skin on foam, for all that is solved with it."""
        if self._order is None:
            self.free()
        if self._order is None:
            self.sliding(np.zeros(self.model.size + self.foam.size))
        self.free()

    @cached_property
    def terms(self) -> NextTerms:
        """Of the skin, by which straight-line figures are held."""
        return NextTerms(self.model)

    def next_terms(self, movement: np.ndarray, solve: Callable[[np.ndarray], np.ndarray]) -> Terms:
        """Second and third term (size, k) of skin movements; ``solve`` is what found ``movement`` (any size, k)."""
        bare = len(movement) == self.model.size

        def of_skin(push: np.ndarray) -> np.ndarray:
            return self.skin_of(solve(push if bare else self.padded(push)))

        return self.terms.of(self.skin_of(movement), of_skin)

    def _skin_moved(self, factor: Factor, push: np.ndarray) -> np.ndarray:
        return self.skin_of(factor.solve(self.padded(push)))

    def skin_of(self, movement: np.ndarray) -> np.ndarray:
        """The skin's share (size, ...) of a whole movement."""
        return movement[: self.model.size]

    def skin(self, movement: np.ndarray) -> np.ndarray:
        """The skin's unknowns (n, 6) of a whole movement."""
        return movement[: self.model.size].reshape(-1, UNKNOWNS)
