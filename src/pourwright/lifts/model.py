"""What the planner decides: lifts, their pours, where to pour in and where air gets out."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from pourwright.findings import Finding, Verdict
from pourwright.foam import Parts
from pourwright.ranges import Range

if TYPE_CHECKING:
    from pourwright.access import CeilingAir, KeepOut, Tilt
    from pourwright.day import Choice


@dataclass(frozen=True, slots=True)
class Measures:
    """Where a point is, in lengths a person can tape on the standing piece."""

    from_base_m: float
    from_left_m: float
    from_front_m: float


@dataclass(frozen=True, slots=True)
class Check:
    """A value checked against a limit.

    ``verdict``: ``ok``, ``ok with shores`` (over without those that the lift names), ``over`` or ``unknown`` (cannot be
    computed: never taken as safe).
    ``unit`` is the SI unit of value and limit as pint spells it. ``remedy`` says what would lift the limit.
    """

    name: str
    value: float
    limit: float
    unit: str
    verdict: Verdict
    source: str
    remedy: str = ""

    @property
    def margin(self) -> float:
        """Share of the limit that is left; negative when over.

        nan of a limit of nothing, and of a temperature: no share of kelvin is room to spare, see ``below``.
        """
        return 1.0 - self.value / self.limit if self.limit and self.unit != "K" else float("nan")

    @property
    def below(self) -> float:
        """How far the value is below the limit, in ``unit``; negative when over."""
        return self.limit - self.value


@dataclass(frozen=True, slots=True)
class HoleRules:
    """Where holes may be. ``prefer``: ``not front`` | ``hidden`` | ``any``."""

    prefer: str = "not front"
    keep_out: tuple[KeepOut, ...] = ()
    at_m: tuple[tuple[float, float, float], ...] = ()  # ports that the job asks for, near the skin, shell axes
    side: bool = True  # whether holes may be cut in the side of a limb that is hard to reach from above


@dataclass(frozen=True, slots=True)
class ShopLimits:
    """What the shop, the supplier and the person allow. SI; every default is listed in the plan as assumed."""

    max_lift_m: float | None = None  # the supplier's own figure; None takes the grade's
    max_lift_reference: str = ""  # where that figure stands; needed with it
    largest_batch_m3: float = 0.004  # liquid one person can mix in one go
    hands: int = 1  # people who mix and pour at the same time
    mix_s: float = 20.0
    pour_rate_m3_s: float = 2.5e-4  # liquid out of the cup
    flow_distance_m: float = 0.6  # how far liquid may have to run from where it lands
    surface_under_k: float | None = (
        None  # the surface under a new pour must be cooler than this; None: by ``quickening``
    )
    quickening: float = 0.25  # share of its cream time that liquid on that surface may lose
    held: bool = False  # skin held from outside (mould or cradle) while the foam rises
    bulge_share: float = 0.01  # panel may bulge by this share of its width
    vent_pressure_pa: float = 100.0  # back-pressure allowed at a vent
    drill_m: tuple[float, ...] = (0.006, 0.008, 0.010, 0.012, 0.016, 0.020, 0.025, 0.032)
    ripple_m: float | None = None  # pools and pockets shallower than this fold away; None: from the cell
    sliver_share: float = 0.35  # no lift thinner than this share of its neighbours' mean
    least_pour_m3: float = 1e-4  # foam; less is not worth a pour of its own
    spill_m: float = 0.10  # a pool of less than that, no deeper than this, fills from above
    holes: HoleRules = HoleRules()
    fresh: bool = False  # mixed in a head as it comes: it must be in by the gel time of the first, not by cream


@dataclass(frozen=True, eq=False)
class Port:
    """Where foam goes in. ``way``: ``open surface`` | ``opening`` | ``drilled``."""

    name: str  # "P1"; shared by all pours that use the same hole
    way: str
    opening: str  # name of the opening, "" for a drilled port
    point_m: np.ndarray  # on the skin or in the opening, shell axes
    measures: Measures
    hole_m: float  # diameter; 0 for an opening
    made: bool = False  # drilled before: it keeps its name, its place and its size
    face: str = "other"  # the side it shows on: "front", "hidden" or "other"
    flange_m: float = 0.0  # diameter of its bung's flange; 0 for an opening
    room_m: float = float("nan")  # from its rim to the nearest edge, wall or other hole; nan: not looked for
    sideways: bool = False  # cut in the side of a limb, poured into with a bent spout, closed over afterwards


@dataclass(frozen=True, slots=True)
class Tube:
    """A tube or hose that liquid is poured down, withdrawn as the foam rises."""

    length_m: float  # with what stands out of the hole for the funnel
    bore_m: float
    stiff: bool  # it hangs free; else a hose that is led down
    flow_m3_s: float  # what it passes by the liquid's own weight, no more than is poured
    left_kg: float  # liquid that stays on its wall


@dataclass(frozen=True, eq=False)
class Landing:
    """Where the liquid lands inside a pour, straight below a port."""

    port: Port
    point_m: np.ndarray  # on the floor of the pour, shell axes
    fall_m: float  # height from the hole, or the plane of the opening, down to it
    flow_distance_m: float  # farthest way the liquid must run from here
    measures: Measures  # where to pour: straight above, in the plane of the opening or at the hole
    kg: float = 0.0  # of the pour's liquids that go in here, nominal
    clearance_m: float = float("nan")  # least distance from the wall on the way down
    tube: Tube | None = None  # what it is poured through; None: it falls


@dataclass(frozen=True, eq=False)
class Vent:
    """A hole where air leaves. ``way``: ``opening`` | ``drilled``."""

    name: str  # "V1"
    way: str
    opening: str
    point_m: np.ndarray  # on the skin, shell axes
    measures: Measures
    hole_m: float
    holes: int
    air_m3_s: float  # air it must pass at the peak of the rise
    persistence_m: float  # depth of the pocket it serves
    node: int = -1  # node of the level graph at the top of that pocket
    width_m: float = float("inf")  # of the limb just under it, which bounds the hole
    closed_air_m3_s: float = float("nan")  # what the formula said, where ``air_m3_s`` was computed
    made: int = 0  # holes of it that were drilled before: they keep their place and size, and it keeps its name


@dataclass(frozen=True, slots=True)
class Closing:
    """A port or vent that foam would rise past if nobody shut it.

    ``before`` is the first pour whose foam would rise past it: it is shut before that foam gets there. Where that pour
    (or one that rises with it) is poured through the hole itself, or lets its air out by it, the hole is shut while
    that foam rises: ``inside`` names the pour, else it is empty and the hole is shut before ``before`` is mixed. Times
    from the start of mixing of ``inside``, nan without: ``by_s`` (a port) with a margin, ``foam_s`` when foam is there.
    """

    hole: str
    before: str
    inside: str
    by_s: float
    foam_s: float
    low_m: float  # its lowest edge on the inside, above the base
    area_m2: float  # of one hole
    force_n: Range  # on what shuts one hole: pressure of the pours beside it on that area


@dataclass(frozen=True, eq=False)
class Pour:
    """One mass of foam in one pool, mixed in one or several batches."""

    name: str  # "2a"
    lift: int
    nodes: np.ndarray  # node indices of the level graph whose volume it fills (shares in ``shares``)
    shares: np.ndarray  # share of each node's volume, 1 except above a join where pours meet
    bottom_m: float
    top_m: float
    volume_m3: float
    closes: bool  # it meets the cap of a pocket: packed, held by the skin
    foam_kg: Range
    parts: Parts  # nominal
    batches: int
    batch: Parts  # nominal, each
    landings: tuple[Landing, ...]
    vents: tuple[Vent, ...]  # those that carry its air
    rise_m: float  # thickness of risen foam, bottom to top
    peak_k: Range
    hot_hours: float  # slowest mode: time to shed the heat to one tenth
    peak_pressure_pa: Range
    wait_s: float  # it asks for by the formula, from its last mix; what is waited is its lift's ``wait_s``
    checks: tuple[Check, ...]
    limb: str = ""  # it lies in; "" in even bands
    together: tuple[str, ...] = ()  # pours of the same lift that run into it above a join: pour at the same time
    after: tuple[str, ...] = ()  # pours of the same lift that it rises over: they are risen before it is mixed
    reach_m: tuple[float, ...] = ()  # low and high end of its space along x, and along y, standing; (): not known
    poured: bool = False  # it is in already: amounts and top are what was recorded, the rest is not known

    @property
    def stays(self) -> Parts:
        """Liquids that stay on the walls of its tubes: weighed besides, once, and never in the piece."""
        kg = sum(landing.tube.left_kg for landing in self.landings if landing.tube is not None)
        return self.parts.times(kg / self.parts.total_kg if kg > 0 else 0.0)

    @property
    def to_weigh(self) -> Parts:
        """All that is weighed for it: what goes in, and what stays in its tubes."""
        return self.parts.plus(self.stays)


@dataclass(frozen=True, slots=True)
class Tighter:
    """A thickness that lifts must keep between two heights, because a computed limit asks for it."""

    bottom_m: float  # above the base of the standing piece
    top_m: float
    thickness_m: float
    name: str  # of the check that asks
    words: str  # why, for the sentence of the lift
    nodes: tuple[int, ...] = ()  # of the level graph that it asks of; (): of all between the heights
    from_m: float = math.inf  # a lift to the top that starts here or higher would do as well; inf: none is known
    own: bool = False  # no thickness: the tip with these nodes is to be a pour of its own


@dataclass(frozen=True, slots=True)
class OneMore:
    """What a lift would need that is one level of the graph taller than it may be.

    ``check`` holds that against what is allowed: value and limit are a thickness of risen foam, liquid of one mix, or a
    pressure, by its unit. ``forced``: the lift is that level itself, as not even one keeps the limit. ``short``: it
    ends lower than it may, so that the lifts are even.
    """

    check: Check
    top_m: float  # of the lift that is one level too tall, above the base
    forced: bool = False
    short: bool = False


@dataclass(frozen=True, eq=False)
class Lift:
    """A band of levels, poured in one round."""

    number: int
    bottom_level: int  # level indices: bottom <= level < top
    top_level: int
    bottom_m: float  # above the base of the standing piece
    top_m: float
    volume_m3: float
    pours: tuple[Pour, ...]
    limit: str  # name of the check that kept it from being taller; or FULL, DAY, BEGUN, POURED of ``judged``
    one_more: OneMore | None = None  # what one level more than it may have would need; None where nothing bound it
    wait_s: float = float("nan")  # start of its first mix to that of the next lift, or until it is cool; nan: not known


@dataclass(frozen=True, eq=False)
class Unfilled:
    """Space left empty: too little for a pour of its own, and no pour beside it takes it."""

    nodes: np.ndarray  # of the level graph
    volume_m3: float
    point_m: np.ndarray  # middle of its largest section, shell axes
    measures: Measures


@dataclass(frozen=True, slots=True)
class EvenBands:
    """The cavity was cut into level bands, not for a searched day."""


EVEN_BANDS = EvenBands()


@dataclass(frozen=True, eq=False)
class Division:
    """Which part of the cavity each pour fills, in which order: lifts from the base up, with ports and vents to drill.

    All amounts and checks are by formulas; `pourwright.plan.LiftPlan` has them as computed in the real shape.
    """

    lifts: tuple[Lift, ...]
    ports: tuple[Port, ...]
    vents: tuple[Vent, ...]
    objective: str  # what was minimised, in words with its value
    unreached_m3: float  # cavity no port can reach straight from above
    warnings: tuple[Finding, ...]
    unfilled: tuple[Unfilled, ...] = ()  # with the volumes of all pours they add up to the cavity
    day: Choice | EvenBands = EVEN_BANDS  # the day it was cut for
    lift_start_s: tuple[float, ...] = ()  # of each lift of such a day, from the first mix
    closings: tuple[Closing, ...] = ()  # of the ports and vents that do not stay open, in their order
    ceilings: tuple[CeilingAir, ...] = ()  # level ones, with the vents over them
    tilt: Tilt | None = None  # the smallest that would lead the air of all of them out; None: none would, or none are
