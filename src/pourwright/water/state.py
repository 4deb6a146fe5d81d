"""One load of a body on calm water: dry, open to the water, or with its hollows full."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourwright.ranges import Range
from pourwright.water.hollows import Hollow, Hollows, loose_in
from pourwright.water.hull import hull_of
from pourwright.water.hydrostatics import Floating, Loose, water_plane
from pourwright.water.settle import FloatingBody, Rest, settle
from pourwright.water.under import submerged

CAPSIZED_RAD = math.radians(45.0)
AWASH_M = 1e-6
DRY_SHARE = 1e-4
"""Water in the hollows that is less than this share of the body is none."""
FILLS = (0.02, 0.1, 0.2, 0.3, 0.45, 0.6, 0.75, 0.9)
"""Shares of a hollow's depth at which stability is looked at while it fills."""
UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True, eq=False)
class Load:
    """Weights and what water may do.

    Rows are low, nominal and high, and after them the highest centre of mass where that is none of these; or, where
    only the heavy end counts, that end first.
    """

    name: str
    kg: np.ndarray  # (r,)
    at_m: np.ndarray  # (r, 3) centres, standing axes
    water: str  # "dry" | "open" | "full": in the hollows; open as high as outside, full to the edge or higher
    upright: bool = True  # whether it has to stay upright

    @property
    def whole(self) -> bool:
        """Whether the rows begin with low, nominal and high."""
        return len(self.kg) >= 3


@dataclass(frozen=True, eq=False)
class FloatState:
    """The body at rest in one water with one load. Low, nominal and high go with the weight."""

    name: str  # "empty, dry" | "empty, swamped" | "empty, full" | "loaded, dry" | ...
    water: str
    kg: Range  # without the water in its hollows
    held_m3: float  # water in its hollows, nominal, and so all below
    draft_m: Range  # greatest depth under the water; not a number in an end that sinks
    displaced_m3: float
    buoyancy_m: np.ndarray  # (3,) centre of buoyancy, standing axes
    bow_m: float  # height of the water over the base plane at the bow and ...
    stern_m: float  # ... at the stern
    trim_rad: float  # positive: bow up
    heel_rad: float  # positive: port side up
    gm_m: float  # least metacentric height, free surfaces taken off
    gm_along_m: float  # greatest
    freeboard_m: float  # water to the lowest edge of a hollow it has not reached; not a number where there is none
    floats: bool
    capsizes: bool
    end_capsizes: bool  # not as expected, but at an end of its weights
    lolls: bool  # upright is not stable, and it leans to one side
    upright_asked: bool  # whether it must not capsize
    plane: tuple[float, float, float, float]  # nx, ny, nz, level: the water, standing axes
    words: str

    @property
    def in_danger(self) -> bool:
        """Whether there is something to tell of it: it does not stay as it is put, as expected or at an end."""
        return not self.floats or self.capsizes or self.end_capsizes or self.lolls or self.end_sinks

    @property
    def end_sinks(self) -> bool:
        """Whether it sinks at the high end of its weight."""
        return math.isinf(self.draft_m.high)


@dataclass(frozen=True, slots=True)
class Filling:
    """The worst of it while the hollows fill with water that does not drain."""

    name: str
    water: str
    gm_m: float  # least metacentric height on the way
    held_m3: float  # water on board then


class Body:
    """The outside face in standing axes, with its hollows."""

    def __init__(self, points_m: np.ndarray, faces: np.ndarray):
        self.points, self.faces = points_m, faces
        self.hull = hull_of(points_m, faces)
        self.hollows = Hollows(points_m, faces)
        self.found = self.hollows.find(UP)
        self._full: dict[tuple[bytes, int], Hollow] = {}

    def full(self, hollow: Hollow, normal: np.ndarray) -> Hollow:
        """A hollow full to its edge in another attitude."""
        key = (normal.tobytes(), hollow.seed)
        if key not in self._full:
            self._full[key] = self.hollows.full(hollow.seed, normal)
        return self._full[key]

    def settle(self, load: Load, row: int, density: float, near: np.ndarray | None) -> tuple[Rest, tuple[Hollow, ...]]:
        """Rest under one row of a load, and the hollows that are full of water above the water outside."""
        kg, at = float(load.kg[row]), load.at_m[row]
        if load.water == "open":
            return settle(FloatingBody(self.hull, kg, at, density), UP, near), ()
        shut, let_in = list(self.found), list[Hollow]()
        while load.water == "dry" or shut:
            rest = self._shut(kg, at, density, near, shut, let_in, wet=load.water == "full")
            if load.water == "dry":
                return rest, ()
            over = self._overrun(rest, shut)
            if not over:
                assert rest.floating is not None
                return rest, tuple(self.full(h, rest.floating.normal) for h in shut)
            let_in += over
            shut = [h for h in shut if h not in over]
        return settle(FloatingBody(self.hull, kg, at, density), UP, near), ()

    def _shut(
        self,
        kg: float,
        at: np.ndarray,
        density: float,
        near: np.ndarray | None,
        shut: list[Hollow],
        let_in: list[Hollow],
        *,
        wet: bool,
    ) -> Rest:
        """Rest with the water outside kept out of some hollows: dry, or full to their own edges."""

        def edges(n: np.ndarray) -> tuple[float, list[float]]:
            over = max((self.full(h, n).edge_m for h in let_in), default=-math.inf)
            return over, sorted(self.full(h, n).edge_m for h in shut)

        def loose(n: np.ndarray) -> Loose:
            return loose_in([self.full(h, n).water for h in shut])

        body = FloatingBody(self.hull, kg, at, density, True, loose if wet else None, edges)
        return settle(body, UP, near)

    def _overrun(self, rest: Rest, shut: list[Hollow]) -> list[Hollow]:
        """Hollows whose edge lies under the water outside; the lowest of all where the body sinks with them full."""
        at = rest.floating
        if at is None:
            return shut[:1]
        return [h for h in shut if self.full(h, at.normal).edge_m <= at.level_m + AWASH_M]

    def held(self, load: Load, at: Floating, shut: tuple[Hollow, ...]) -> float:
        """Water [m^3] in all hollows, up to their edges: in the full ones, and in the rest as high as outside."""
        total = sum(h.water.volume_m3 for h in shut)
        for hollow in self.found:
            if any(h.seed == hollow.seed for h in shut):
                continue
            known = self.full(hollow, at.normal)
            if at.level_m >= known.edge_m:
                total += known.water.volume_m3
            elif load.water != "dry":
                basin = self.hollows.basin(hollow.seed, at.normal, known.edge_m)
                total += submerged(self.points, basin, at.normal, at.level_m).volume_m3
        return total

    def filling(self, kg: float, at_m: np.ndarray, density: float, normal: np.ndarray) -> tuple[float, float]:
        """Least metacentric height [m] while the hollows fill, and the water [m^3] in them then; NaN where it sinks.

        At ``FILLS`` shares of their depth, in one attitude; not below that with none.
        """
        worst = math.nan, math.nan
        shut = [self.full(h, normal) for h in self.found]
        for share in FILLS:
            pools = []
            for h in shut:
                low = float(self.points[h.seed] @ normal)
                pools += self.hollows.pools(h.seed, normal, h.edge_m, low + share * (h.edge_m - low))
            held = loose_in(pools)
            wanted = kg / density + held.volume_m3
            centre = (kg / density * at_m + held.volume_m3 * held.centre_m) / wanted
            edges = [h.edge_m for h in shut]
            found = water_plane(self.hull, normal, wanted, bail=True, edges_m=edges)
            if found is None or found[0] > min(edges):
                continue
            s = found[1]
            gm = (s.waterplane_m4 - held.surface_m4) / wanted + np.eye(2) * ((s.centre_m - centre) @ normal)
            least = float(np.linalg.eigvalsh(gm)[0])
            if not least >= worst[0]:
                worst = least, held.volume_m3
        return worst

    def freeboard(self, at: Floating) -> float:
        """From the water up to the lowest edge of a hollow that it has not reached, square to the water."""
        free = [self.full(h, at.normal).edge_m - at.level_m for h in self.found]
        return min((f for f in free if f > AWASH_M), default=math.nan)


def float_state(
    load: Load, water: str, density: float, body: Body, bow: np.ndarray, near: np.ndarray | None = None
) -> FloatState:
    """The body at rest under a load in one water, with the drafts of every row of it."""
    kg = Range(*(float(w) for w in load.kg[:3])) if load.whole else Range.exact(float(load.kg[0]))
    middle = 1 if load.whole else 0
    rest, shut = body.settle(load, middle, density, near)
    at = rest.floating
    name = f"{load.name}, {water} water"
    if at is None:
        nan = math.nan
        return FloatState(
            load.name, water, kg, nan, Range.exact(math.inf), nan, np.full(3, nan), nan, nan, nan, nan, nan, nan, nan,
            False, False, False, False, load.upright, (0.0, 0.0, 1.0, nan), f"{name}: it SINKS.",
        )  # fmt: skip
    beside = at.normal if rest.moved else None
    rests = [rest if k == middle else body.settle(load, k, density, beside)[0] for k in range(len(load.kg))]
    drafts = [math.inf if r.floating is None else _draft(r.floating, body.points) for r in rests]
    across, ahead = np.array([-bow[1], bow[0], 0.0]), np.array([bow[0], bow[1], 0.0])
    trim, heel = (math.asin(float(np.clip(axis @ at.normal, -1, 1))) for axis in (ahead, across))
    capsizes = _lies_over(rest)
    end_capsizes = not capsizes and any(_lies_over(one) for one in rests)
    centre = 0.5 * (body.points.min(axis=0) + body.points.max(axis=0))
    along = body.points @ ahead
    fore, aft = (_height(at, centre + ahead * (end - centre @ ahead)) for end in (along.max(), along.min()))
    free = body.freeboard(at) if not capsizes and (load.water == "dry" or shut) else math.nan
    x, y, z = (float(v) for v in at.normal)
    return FloatState(
        load.name,
        water,
        kg,
        held if (held := body.held(load, at, shut)) > DRY_SHARE * body.hollows.solid_m3 else 0.0,
        Range(min(drafts), drafts[middle], max(drafts)),
        at.under.volume_m3,
        at.under.centre_m,
        fore,
        aft,
        trim,
        heel,
        at.metacentric_m[0],
        at.metacentric_m[1],
        free,
        True,
        capsizes,
        end_capsizes,
        rest.moved and not capsizes,
        load.upright,
        (x, y, z, float(at.level_m)),
        _words(name, rest.moved, at, capsizes, load.upright)
        + (" At an end of its weights it CAPSIZES." if end_capsizes else "")
        + (" At the high end of its weight it SINKS." if any(math.isinf(d) for d in drafts) else ""),
    )


def _lies_over(rest: Rest) -> bool:
    """Whether a body that floats does so on its side, or finds no rest."""
    return rest.floating is not None and (rest.floating.tilt_rad > CAPSIZED_RAD or not rest.stable)


def _draft(at: Floating, points: np.ndarray) -> float:
    return float(at.level_m - (points @ at.normal).min())


def _height(at: Floating, point: np.ndarray) -> float:
    """Height of the water over the base plane, in line with ``point`` (its own height does not matter)."""
    if abs(at.normal[2]) < 1e-3:
        return math.nan
    return float((at.level_m - at.normal[:2] @ point[:2]) / at.normal[2])


def _words(where: str, moved: bool, at: Floating, capsizes: bool, upright: bool) -> str:
    tilt = math.degrees(at.tilt_rad)
    if capsizes:
        words = f"{where}: it CAPSIZES; let go upright it comes to rest {tilt:.0f} degrees over."
        words += "" if upright else " Basic flotation allows any attitude."
    elif moved:
        words = f"{where}: upright is not stable; it lolls to {tilt:.0f} degrees."
    else:
        words = f"{where}: it floats upright, {tilt:.1f} degrees off level."
    return words
