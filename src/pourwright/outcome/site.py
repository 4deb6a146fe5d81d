"""What the job says of the piece's later life: what is put on it, what holds it, lifts it, what it stands or floats in.

SI; directions and points are in the shell file's axes unless a measure from an edge is given.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from pourwright.cavity import PourFrame
from pourwright.irons import Iron, Metal, bar, box, rod
from pourwright.ranges import Range
from pourwright.sources import Cited, Standing

Vector = tuple[float, float, float]

STEEL_DENSITY = Cited(
    7850.0, "kg/m^3", Standing.MEMORY, spread=0.01, note="carbon steel; EN 1991-1-1 table A.4 gives 77 to 78.5 kN/m3"
)
STEEL_HEAT = Cited(470.0, "J/(kg K)", Standing.MEMORY, spread=0.05, note="carbon steel at room temperature to 100 degC")
STEEL_CONDUCTS = Cited(50.0, "W/(m K)", Standing.MEMORY, spread=0.1, note="carbon steel")
LEAST_STEEL, MOST_STEEL = 7000.0, 8500.0
"""Densities [kg/m^3] between which a thing inside counts as steel for its heat."""


@dataclass(frozen=True, slots=True)
class Spot:
    """Where something is: a point of the shell file's axes, or measures from the edges of the piece as it stands.

    Of each pair (left, right), (front, back), (base, top) at most one is given. Left and right are the reader's.
    """

    at_m: Vector | None = None
    from_left_m: float | None = None
    from_right_m: float | None = None
    from_front_m: float | None = None
    from_back_m: float | None = None
    from_base_m: float | None = None
    from_top_m: float | None = None

    def standing(self, frame: PourFrame, missing: tuple[float, float, float] | None = None) -> np.ndarray:
        """The point (3,) in the axes of ``frame``: right, back, up from its left, front and base.

        ``missing`` stands in for a direction without a measure; without it such a spot is a ValueError.

        >>> from pourwright.cavity import pour_frame
        >>> f = pour_frame(np.array([[0, 0, 0], [1, 2, 3.0]]), np.array([0, 0, 1.0]), np.array([0, -1.0, 0]))
        >>> Spot(from_right_m=0.25, from_front_m=0.5, from_top_m=1.0).standing(f).tolist()
        [0.75, 0.5, 2.0]
        """
        if self.at_m is not None:
            return frame.to_standing(np.asarray(self.at_m))
        near = (self.from_left_m, self.from_front_m, self.from_base_m)
        far = (self.from_right_m, self.from_back_m, self.from_top_m)
        out = np.empty(3)
        for axis, (low, high) in enumerate(zip(near, far, strict=True)):
            if low is not None:
                out[axis] = low
            elif high is not None:
                out[axis] = frame.size_m[axis] - high
            elif missing is not None:
                out[axis] = missing[axis]
            else:
                raise ValueError("a spot needs a measure along the width, the depth and the height")
        return out


@dataclass(frozen=True, slots=True)
class Shape:
    """The form of a thing inside: a ``rod`` or ``bar`` from ``start`` to ``end``, or a ``box`` between the two."""

    kind: str  # "rod" | "bar" | "box"
    start: Spot
    end: Spot
    wide_m: float = 0.0  # diameter of a rod, level side of a bar
    deep_m: float = 0.0  # other side of a bar


@dataclass(frozen=True, slots=True)
class Item:
    """Hardware (at a spot, of the standing piece where measured) or a coating spread over the outside."""

    name: str
    kg: Range  # for a coating: per square metre of the outside
    coating: bool = False
    spot: Spot = Spot()
    finished: bool = True  # put on the finished piece; False: there before the first pour
    density_kg_m3: float | None = None  # None: its own displacement of water is not counted
    shape: Shape | None = None  # None: no room is taken out of the cavity for it

    def iron(self, frame: PourFrame) -> Iron | None:
        """What it takes of the inside, standing in ``frame``; None without a form, or where it is put on afterwards."""
        if self.shape is None or self.finished:
            return None
        form = self.shape
        a, b = form.start.standing(frame), form.end.standing(frame)
        made = _made(self.name, form, a, b, Metal())
        return _made(self.name, form, a, b, self._metal(made.volume_m3))

    def _metal(self, volume_m3: float) -> Metal:
        """Its heat by volume, if it is of steel by its density (or none is given); else none is counted."""
        if not LEAST_STEEL <= (self.density_kg_m3 or STEEL_DENSITY.value) <= MOST_STEEL:
            return Metal()
        return Metal(STEEL_HEAT.value * self.kg.nominal / volume_m3, STEEL_CONDUCTS.value)


def core_item(name: str, low_m: np.ndarray, high_m: np.ndarray, kg: Range) -> Item:
    """A light core between two corners (3,) of the standing piece, there before the first pour."""
    a, b = (Spot(from_left_m=float(p[0]), from_front_m=float(p[1]), from_base_m=float(p[2])) for p in (low_m, high_m))
    density = kg.nominal / float(np.prod(high_m - low_m))
    return Item(name, kg, finished=False, density_kg_m3=density, shape=Shape("box", a, b))


def board_item(name: str, at_m: tuple[float, float, float], kg: Range, density_kg_m3: float) -> Item:
    """A board that stays in the piece: its middle from left, front and base."""
    spot = Spot(from_left_m=at_m[0], from_front_m=at_m[1], from_base_m=at_m[2])
    return Item(name, kg, spot=spot, finished=False, density_kg_m3=density_kg_m3)


def _made(name: str, form: Shape, a: np.ndarray, b: np.ndarray, metal: Metal) -> Iron:
    if form.kind == "box":
        return box(name, a, b, metal)
    if form.kind == "rod":
        return rod(name, a, b, form.wide_m, metal)
    return bar(name, a, b, form.wide_m, form.deep_m, metal)


@dataclass(frozen=True, slots=True)
class Insert:
    """What an anchor is fixed to inside the piece: a round insert bonded into the foam, with a head or without."""

    diameter_m: float
    depth_m: float  # of foam along it
    head_m: float | None = None  # diameter of a plate or head at its inner end
    plate_m: float | None = None  # diameter of a stiff plate bonded to the skin where it goes in
    bond_pa: float | None = None  # what that bond may bear for good


@dataclass(frozen=True, slots=True)
class Rod:
    """The rod between an anchor's insert and the wall: round, solid."""

    diameter_m: float
    stress_pa: float  # that it may be given for good, by whoever designs it
    modulus_pa: float = 210e9
    plate_m: float | None = None  # side of its plate on the wall, held by one fixing in its middle


@dataclass(frozen=True, slots=True)
class Load:
    """A load on the hanging piece beside its weight. Of the five sizes one is given."""

    name: str
    kind: str  # wind, snow, ice, earthquake, water, person, handling, other
    way: str = "down"  # where it pushes, facing the wall: left, right, in, out, up, down
    pressure_pa: float | None = None  # on the outline of the piece as seen that way
    acceleration: float | None = None  # share of gravity, on every mass
    areal_kg_m2: float | None = None  # on all the outside
    kg: float | None = None  # at the spot
    force_n: float | None = None  # at the spot
    spot: Spot | None = None  # of the hanging piece
    reference: str = ""


@dataclass(frozen=True, slots=True)
class Combination:
    """Loads that act together, each with its factor."""

    name: str
    weight: float
    loads: tuple[tuple[str, float], ...]
    reference: str = ""


@dataclass(frozen=True, slots=True)
class Box:
    """A part of the wall, facing it: from the left and up from the base of the hanging piece."""

    left_m: float
    right_m: float
    base_m: float
    top_m: float


@dataclass(frozen=True, slots=True)
class Places:
    """Where anchors may be: on studs (from the left) and joints (up from the base), else on a grid; never in a box."""

    studs_m: tuple[float, ...] = ()
    joints_m: tuple[float, ...] = ()
    spacing_m: float | None = None
    keep_out: tuple[Box, ...] = ()


@dataclass(frozen=True, slots=True)
class Anchor:
    """A wall anchor. Ratings in newtons; ``breaking`` says they are breaking loads, else working loads."""

    name: str
    spot: Spot
    stiffness: float = 1.0  # relative to the other anchors
    shear_n: float | None = None
    pull_n: float | None = None
    breaking: bool = True
    insert: Insert | None = None
    rod: Rod | None = None


def within_a_band(bands_m: Iterable[tuple[float, float]], height_m: float, insert: Insert) -> bool:
    """Whether an insert that goes in at a height lies with its head at the height of one band, going in level.

    >>> [within_a_band([(0.2, 0.4)], height, Insert(0.06, 0.1, 0.12)) for height in (0.3, 0.35)]
    [True, False]
    """
    half = 0.5 * max(insert.diameter_m, insert.head_m or 0.0)
    return any(low <= height_m - half and height_m + half <= high for low, high in bands_m)


@dataclass(frozen=True, slots=True)
class Hang:
    """How the piece hangs."""

    out: Vector  # from the wall into the room
    up: Vector  # upwards as it hangs
    standoff_m: float = 0.0  # gap between wall and the back of the piece
    factor: str = ""  # of older plans: a factor for lifting, which no permanent hang is judged by
    factor_value: float | None = None  # a design factor ...
    factor_reference: str = ""  # ... and where it stands
    loads: tuple[Load, ...] = ()
    combinations: tuple[Combination, ...] = ()
    load_set: str = ""  # name of a set of combinations
    places: Places = Places()  # where anchors may be, for suggestions


@dataclass(frozen=True, slots=True)
class Leg:
    """One leg of a sling: where it holds the piece, how long it is."""

    name: str
    spot: Spot  # of the standing piece where measured
    length_m: float | None = None
    rating_n: float | None = None
    breaking: bool = False


@dataclass(frozen=True, slots=True)
class Hook:
    """The hook: its place, or its height above the highest sling point over the finished piece's centre of mass."""

    at_m: Vector | None = None
    above_m: float | None = None
    dynamic: float = 1.3
    factor: str = ""
    factor_value: float | None = None
    factor_reference: str = ""


@dataclass(frozen=True, slots=True)
class Stand:
    """How the piece stands at its place."""

    up: Vector | None = None  # None: as it is poured
    contact_m: float = 0.002  # what is no higher than this above the lowest point touches the ground
    slope_rad: float = 0.0  # of the ground, which the piece must stand on all the same
    pads_m: tuple[Vector, ...] = ()  # corners of a base plate or feet that the finished piece has and the mesh has not


@dataclass(frozen=True, slots=True)
class Moving:
    """How the finished piece is turned, slung, laid down and packed; spots of the piece as it stands to be poured."""

    main: Spot | None = None  # the main hook while it is turned ...
    tail: Spot | None = None  # ... and the second one
    up: Vector | None = None  # upwards at the end; None: as it hangs, or stands
    hook_n: float | None = None  # what the main hoist may carry
    tail_hook_n: float | None = None
    rigging_kg: float = 0.0
    bar_at: tuple[Spot, ...] = ()  # two, under the ends of a spreader bar
    bar_above_m: float = 1.0  # from it up to the hook
    bar_n: float | None = None  # what may push it along
    lug: Vector | None = None  # in line with the shackles of the sling
    shackle_n: float | None = None  # what one may carry in line
    cradle: tuple[Spot, ...] = ()
    pad_m: float = 0.1  # side of each pad
    floor_pa: float | None = None
    clearance_m: float = 0.05  # in the crate
    board_m: float = 0.018  # of the crate


@dataclass(frozen=True, slots=True)
class Boat:
    """A boat as its capacity plate and its builder describe it. Weights in kilograms."""

    up: Vector | None = None  # None: as it is poured
    bow: Vector | None = None  # None: along its longer side
    persons_kg: float = 0.0
    capacity_kg: float | None = None  # maximum weight capacity: persons, motor and gear
    level_capacity_kg: float | None = None  # the C of the level method
    propulsion_kg: float = 0.0  # motor and battery, as they weigh under water (swamped weight)
    air_chambers_m3: float = 0.0  # the two largest air chambers, where air chambers carry
    uptake: float | None = None  # share of the foam's buoyancy lost to water taken up over the years; None: not known
    uptake_reference: str = ""  # where that stands
    flotation: str = ""  # the rule it falls under: "basic" | "level" | "modified"; "" the first two are told
    load_at: Spot | None = None  # where persons and gear act, for the loaded attitude


@dataclass(frozen=True, slots=True)
class Site:
    """Everything a job says beside the pour itself."""

    items: tuple[Item, ...] = ()
    anchors: tuple[Anchor, ...] = ()
    hang: Hang | None = None
    legs: tuple[Leg, ...] = ()
    hook: Hook = field(default_factory=Hook)
    stand: Stand = field(default_factory=Stand)
    boat: Boat | None = None
    moving: Moving | None = None

    def irons(self, frame: PourFrame) -> tuple[Iron, ...]:
        """Things inside that have a form, standing in ``frame``."""
        found = [item.iron(frame) for item in self.items]
        return tuple(iron for iron in found if iron is not None)
