"""How much stiffer the set foam makes the piece: pushed by hand, under its loads, bent and twisted as a whole."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from pourwright.fem import LEFT_OUT, ShellModel, straight_up_to
from pourwright.physics.constants import STANDARD_GRAVITY
from pourwright.progress import Progress, silent
from pourwright.structure.filled import Filled, Touched
from pourwright.structure.foam import FoamBlock
from pourwright.structure.mesh import SkinMesh
from pourwright.structure.model import Gain, PushMap, Shape
from pourwright.structure.pushes import HAND, PushLoads, push_map
from pourwright.structure.support import Support, support_of

END = 0.04  # share of the length that is held, or loaded, at an end
BEYOND = (
    f"straight-line theory leaves out more than {LEFT_OUT.value:.0%} of the movement, as the skin stretches or folds "
    "while it bulges"
)
STEP = "stiffness"

Solve = Callable[[np.ndarray], np.ndarray]  # loads (whole or skin size, k) to movements


@dataclass(frozen=True, eq=False)
class Loads:
    """What the piece has to bear; standing axes."""

    density_kg_m3: float  # of the skin
    side_pa: float  # on what faces ``out``
    anchors_m: np.ndarray  # (a, 3)
    bond: float  # 0 to 1
    gap_m: float  # that cooling opens behind an unbonded skin
    down: tuple[float, float, float] = (0.0, 0.0, -1.0)  # unit, when it stands or hangs in place
    out: tuple[float, float, float] = (0.0, -1.0, 0.0)  # unit, towards the one who pushes
    force_n: float = HAND.value
    points: int = 60
    rests: str = "base"  # anchors, base, cradle or gunwale


@dataclass(frozen=True, eq=False)
class _State:
    """First, second and third terms (size, k) of the skin's movement under some loads."""

    first: np.ndarray
    second: np.ndarray
    third: np.ndarray

    def part(self, columns: slice) -> _State:
        return _State(self.first[:, columns], self.second[:, columns], self.third[:, columns])

    def most(self, k: int) -> tuple[float, float, float]:
        """Greatest movement of each term [m] under load ``k``."""
        one, two, three = (_most(u[:, k]) for u in (self.first, self.second, self.third))
        return one, two, three


def _most(movement: np.ndarray) -> float:
    return float(np.linalg.norm(movement.reshape(-1, 6)[:, :3], axis=1).max())


def _end_loads(model: ShellModel, axis: int, far: np.ndarray) -> dict[str, np.ndarray]:
    """1 N across at the far end both ways, and 1 N m of twist about the long axis."""
    weight = np.where(far, model.vertex_area_m2, 0.0)
    weight = weight / weight.sum()
    across = [i for i in range(3) if i != axis]
    out = {}
    for i in across:
        load = np.zeros((len(weight), 6))
        load[:, i] = weight
        out[f"bend {i}"] = load.ravel()
    arm = model.vertices_m - (weight[:, None] * model.vertices_m).sum(axis=0)
    arm[:, axis] = 0.0
    turn = np.cross(np.eye(3)[axis], arm)
    twist = np.zeros((len(weight), 6))
    twist[:, :3] = weight[:, None] * turn / float((weight * (arm**2).sum(axis=1)).sum())
    out["twist"] = twist.ravel()
    return out


def piece_gains(
    mesh: SkinMesh, youngs_pa: float, poisson: float, foam: FoamBlock, loads: Loads, progress: Progress = silent
) -> tuple[tuple[Gain, ...], PushMap, Shape, Support, tuple[str, ...]]:
    """Every gain of one piece.

    Parameters
    ----------
    mesh : SkinMesh
    youngs_pa, poisson : of the skin.
    foam : FoamBlock
    loads : Loads
    progress : Progress

    Returns
    -------
    gains : own weight and side pressure on its supports, bending both ways, twist.
    push : PushMap
    shape : Shape
        Under the side pressure, or as much of it as straight-line theory holds for.
    support : Support
        What holds it under weight, side pressure and push.
    words : tuple of str

    Notes
    -----
    ``before`` of own weight carries the skin's weight only, after that of skin and foam, so that a ratio below 1 is
    honest: filled, the piece is heavier.
    """
    return _Piece(mesh, youngs_pa, poisson, foam, loads, progress).told()


class _Piece:
    """One piece with its loads; each state of its foam is solved once for all of them."""

    def __init__(
        self,
        mesh: SkinMesh,
        youngs_pa: float,
        poisson: float,
        foam: FoamBlock,
        loads: Loads,
        progress: Progress,
    ):
        self.mesh, self.foam, self.loads = mesh, foam, loads
        self.model = model = mesh.model(youngs_pa, poisson)
        self.support = support_of(mesh, loads.rests, loads.anchors_m)
        self.axis = int(np.argmax(np.ptp(mesh.vertices_m, axis=0)))
        along = mesh.vertices_m[:, self.axis] - mesh.vertices_m[:, self.axis].min()
        length = float(np.ptp(along))
        self.near = along <= END * length
        self.upright = self.axis == 2 and self.support.rests == "base"
        self.down, out = STANDARD_GRAVITY * np.array(loads.down), np.array(loads.out)
        front = np.clip(model.normals @ out, 0.0, None)
        weight = model.gravity_load(loads.density_kg_m3, self.down)
        side = model.traction_load(-(loads.side_pa * front)[:, None] * out)
        self.own = np.stack([weight, side], axis=1)
        self.ends = _end_loads(model, self.axis, along >= (1 - END) * length - 1e-9)
        self.pushes = PushLoads.over(mesh, model, np.asarray(self.support.held.any(axis=1)), loads.points)
        self.bonds = loads.bond > 0
        self.parted, self.unsettled = 1.0, 0
        self._progress, self._done, self._steps = progress, 0, 12.0 if self.upright else 16.0

    def _tell(self) -> None:
        self._done += 1
        self._progress(STEP, min(self._done / self._steps, 0.99))

    def told(self) -> tuple[tuple[Gain, ...], PushMap, Shape, Support, tuple[str, ...]]:
        """Solve and tell."""
        body = np.stack(list(self.ends.values()), axis=1)
        if self.upright:
            states, pushed = self._solved(self.support.held, np.column_stack([self.own, body]), self.pushes.load)
            ends = [state.part(slice(2, None)) for state in states]
        else:
            states, pushed = self._solved(self.support.held, self.own, self.pushes.load)
            held = np.repeat(self.near[:, None], 6, axis=1)
            ends, _ = self._solved(held, body, None)
        gains = [self._loaded(k, states) for k in range(2)]
        gains += [self._bent(k, key, ends) for k, key in enumerate(self.ends)]
        push = push_map(
            self.mesh, self.model, self.pushes, [(s.first, s.second, s.third) for s in pushed], self.axis,
            self.loads.force_n, None if self.bonds else self.loads.gap_m, BEYOND,
        )  # fmt: skip
        side = gains[1]
        after = states[2 if self.bonds else 1].first[:, 1]
        shape = Shape(
            self.mesh.vertices_m,
            self.mesh.faces,
            side.share * states[0].first[:, 1].reshape(-1, 6)[:, :3],
            side.share * after.reshape(-1, 6)[:, :3],
            side.share * self.loads.side_pa,
        )
        words: tuple[str, ...] = (
            f"Without bond, {self.parted:.0%} of the skin stays on the foam under the worse of weight and side "
            "pressure; the rest parts from it.",
        )
        if self.unsettled:
            words += (
                "The figures without bond are approximate: the search for where skin and foam touch was cut short.",
            )
        return tuple(gains), push, shape, self.support, words

    def _solved(
        self, held: np.ndarray, load: np.ndarray, pushes: np.ndarray | None
    ) -> tuple[list[_State], list[_State]]:
        """Empty, touching and bonded under loads (size, k), and under pushes (sliding for touching)."""
        filled = Filled(self.model, self.mesh.vertex_thickness_m, self.foam, held)
        many = load if pushes is None else np.column_stack([load, pushes])
        count = load.shape[1]
        weighs = np.zeros((self.foam.size, many.shape[1]))
        if pushes is not None:
            weighs[:, 0] = self.foam.gravity_load(self.down)
        full = filled.padded(many, weighs)
        bond = self.loads.bond if self.bonds else 1.0
        bare = self._state(filled, many, filled.before)
        glued = self._state(filled, full, lambda f: filled.bonded(f, bond))
        slid = None if pushes is None else self._state(filled, full[:, count:], filled.sliding)
        leaned = filled.touching_many(full[:, :count], self._tell)
        self.unsettled += filled.unsettled
        if pushes is not None:
            self.parted = min(found.share for found in leaned[:2])
        filled.free()
        soft = _of_touched(filled, leaned)
        own, hand = slice(0, count), slice(count, None)
        states = [bare.part(own), soft, glued.part(own)]
        return states, [] if slid is None else [bare.part(hand), slid, glued.part(hand)]

    def _state(self, filled: Filled, load: np.ndarray, solve: Solve) -> _State:
        moved = solve(load)
        self._tell()
        second, third = filled.next_terms(moved, solve)
        self._tell()
        return _State(filled.skin_of(moved), second, third)

    def _loaded(self, k: int, states: list[_State]) -> Gain:
        """Own weight (0) or side pressure (1): the greatest movement of the skin."""
        loads = self.loads
        name, load, amount, of = (
            ("own weight", "its own weight", math.nan, ""),
            ("side pressure", "on its front", loads.side_pa, "Pa"),
        )[k]
        moved = [state.most(k)[0] for state in states]
        holds = _holds(k, states)
        return _gain(f"{name}, {self.support.name}", "m", load, moved, holds, self.bonds, loads.gap_m, (amount, of))

    def _bent(self, k: int, key: str, states: list[_State]) -> Gain:
        """Bending or twist: the work of a unit load. A gap stays open under so little."""
        load = self.ends[key]
        moved = [float(load @ state.first[:, k]) for state in states]
        holds = _holds(k, states)
        names = ("to the side", "front to back", "up and down")
        what = "twist" if key == "twist" else f"bending {names[int(key[-1])]}"
        unit, amount = ("rad", (1.0, "N m")) if key == "twist" else ("m", (1.0, "N"))
        held = "on its base" if self.upright else "one end held"
        gap = math.inf if self.loads.gap_m > 0 else 0.0
        return _gain(f"whole piece, {what}, {held}", unit, "at the far end", moved, holds, self.bonds, gap, amount)


def _holds(k: int, states: list[_State]) -> list[float]:
    """How many times load ``k`` straight-line theory holds for, empty, touching and bonded.

    Foam takes stretch from the skin, so with it theory never ends before it does empty; the foam itself is linear, and
    would seem to hold back a piece that merely turns.
    """
    empty, *filled = (straight_up_to(*state.most(k)) for state in states)
    return [empty, *(max(empty, times) for times in filled)]


def _of_touched(filled: Filled, found: list[Touched]) -> _State:
    first = np.stack([filled.skin_of(one.movement) for one in found], axis=1)
    return _State(first, np.stack([one.second for one in found], 1), np.stack([one.third for one in found], 1))


def _gain(
    name: str,
    unit: str,
    load: str,
    moved: list[float],
    holds: list[float],
    bonds: bool,
    gap_m: float,
    amount: tuple[float, str],
) -> Gain:
    """A load case from its movements empty, touching and bonded, and how many times the load each is straight for."""
    before, touching, bonded = moved
    share = min(1.0, *holds)
    counted, small = bonded, bonded * share
    holds_counted = holds[2]
    if not bonds:
        counted = through_gap(before, touching, gap_m)
        small = through_gap(share * before, share * touching, gap_m)
        holds_counted = min(holds[0], holds[1])
    empty, soft, glued, told = (
        u if times >= 1 else math.nan for u, times in zip((*moved, counted), (*holds, holds_counted), strict=True)
    )
    return Gain(
        name=name,
        unit=unit,
        load=load,
        before=empty,
        touching=soft,
        bonded=glued,
        counted=told,
        times=(before / touching, before / bonded, share * before / small),
        share=share,
        beyond=BEYOND if share < 1 else "",
        small=share * before,
        amount=amount[0],
        amount_unit=amount[1],
    )


def through_gap(before_m: float, touching_m: float, gap_m: float) -> float:
    """How far a skin moves that is alone until it has closed a gap, and touches under the rest of the load.

    >>> through_gap(10.0, 2.0, 0.0), through_gap(10.0, 2.0, 5.0), through_gap(10.0, 2.0, 20.0)
    (2.0, 6.0, 10.0)
    """
    if touching_m >= before_m:
        return touching_m
    alone = min(gap_m / before_m, 1.0) if before_m > 0 else 0.0  # share of the load
    return alone * before_m + (1 - alone) * touching_m
