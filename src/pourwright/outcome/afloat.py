"""A hull or float on the water: draft, trim, heel and stability, reserve buoyancy, depth at which its foam crushes."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourwright.cavity import PourFrame, pour_frame
from pourwright.lifts import Check
from pourwright.outcome.balance import corner_centres, corner_masses
from pourwright.outcome.flotation import Flotation, flotation
from pourwright.outcome.hydrostatics import Floating, submerged
from pourwright.outcome.piece import FoamSolid, Piece, Surface
from pourwright.outcome.settle import settle
from pourwright.physics.buoyancy import FRESH_WATER, SEA_WATER
from pourwright.physics.foam_strength import crush_depth
from pourwright.ranges import Range

WATERS = (("fresh", FRESH_WATER), ("sea", SEA_WATER))
CAPSIZED_RAD = math.radians(45.0)
HOLLOW_SHARE = 1e-3  # hollows smaller than this share of the body are dimples, not cockpits
CRUSH_SHARES = (
    (1.0, "crushes"),
    (0.5, "for a day at most (our judgement, no published source)"),
    (0.25, "for good (our judgement; creep tests of insulation give 0.20 to 0.25)"),
)


@dataclass(frozen=True, eq=False)
class FloatState:
    """The body at rest in one water with one load. Low, nominal and high go with the weight."""

    name: str  # "empty, dry" | "empty, swamped" | "loaded, dry" | ...
    water: str
    kg: Range
    draft_m: Range  # greatest depth under the water; not a number in an end that sinks
    displaced_m3: float  # nominal, and so all below
    buoyancy_m: np.ndarray  # (3,) centre of buoyancy, standing axes
    bow_m: float  # height of the water over the base plane at the bow and ...
    stern_m: float  # ... at the stern
    trim_rad: float  # positive: bow up
    heel_rad: float  # positive: port side up
    gm_m: float  # least metacentric height
    gm_along_m: float  # greatest
    freeboard_m: float  # water to the lowest edge of the hollow; not a number where there is none
    floats: bool
    capsizes: bool
    plane: tuple[float, float, float, float]  # nx, ny, nz, level: the water, standing axes
    words: str


@dataclass(frozen=True, slots=True)
class Reserve:
    """Weight that can still be added before the body goes under, by the ends that make it least."""

    name: str
    water: str
    kg: Range
    words: str


@dataclass(frozen=True, slots=True)
class CrushDepth:
    """Depth at which bare foam stands a share of its strength."""

    share: float
    words: str
    fresh_m: float
    sea_m: float


@dataclass(frozen=True, eq=False)
class FloatResult:
    """The piece afloat. Points in the axes of ``frame``: right, back, up."""

    frame: PourFrame
    bow: np.ndarray  # (2,) unit, in plan
    centre_m: np.ndarray  # of the finished piece
    hollow_m3: float  # what the cockpit holds up to its lowest edge
    edge_m: float  # height of that edge over the base plane, upright; not a number without a hollow
    states: tuple[FloatState, ...]
    reserves: tuple[Reserve, ...]
    foam_m3: Range  # low: the planned liquids at their lowest yield
    crush: tuple[CrushDepth, ...]
    flotation: Flotation | None
    checks: tuple[Check, ...]
    warnings: tuple[str, ...]


def foam_volume(foam: FoamSolid) -> Range:
    """Foam that the planned liquids give: at their lowest yield the smallest cavity is not filled to the end [m3]."""
    share = foam.density_kg_m3.nominal / foam.density_kg_m3.high
    return Range(foam.volume_m3.low * share, foam.volume_m3.nominal, foam.volume_m3.high)


def afloat(piece: Piece, surface: Surface) -> FloatResult:
    """Everything about the piece on calm water.

    The body is the outside face; openings are closed by their flat caps. Dry: a hollow that the water has not reached
    over its edge is empty. Swamped: every hollow is full of water. Where the skin leaks as well, water takes whatever
    room the foam has left at its lowest yield.

    Parameters
    ----------
    piece : Piece
    surface : Surface
    """
    boat = piece.site.boat
    frame = piece.frame
    if boat is not None and boat.up is not None:
        frame = pour_frame(surface.vertices_m, np.asarray(boat.up), -piece.frame.rotation[1])
    body = frame.to_standing(surface.vertices_m), surface.faces
    masses = corner_masses(piece.parts)
    total = masses.sum(axis=1)
    centres = frame.to_standing(corner_centres(piece.parts, masses))
    ends = [int(total.argmin()), 0, int(total.argmax())]
    weights, places = total[ends], centres[ends]
    bow = _bow(piece, frame)
    edge, hollow = _edge(body)
    foam_m3 = foam_volume(piece.foam)
    lost = piece.foam.volume_m3.high - foam_m3.low
    uptake = 0.0 if boat is None else boat.uptake * foam_m3.nominal
    loads = [("empty, dry", weights, places, True)]
    if hollow > 0:
        loads.append(("empty, swamped", weights, places, False))
    if boat is not None and boat.load_at is not None:
        load = boat.capacity_kg if boat.capacity_kg is not None else boat.persons_kg
        at = boat.load_at.standing(frame)
        loaded = (places * weights[:, None] + load * at) / (weights + load)[:, None]
        loads.append(("loaded, dry", weights + load, loaded, True))
    states: list[FloatState] = []
    for water, density in WATERS:
        wet = _leaking(piece, frame, weights, places, (lost + uptake) * density)
        for name, heavy, there, dry in [*loads, ("empty, swamped and leaking", *wet, False)]:
            # What capsized in one water lies much the same in the other.
            like = next((s for s in states if s.name == name and s.capsizes), None)
            near = None if like is None else np.array(like.plane[:3])
            states.append(_state(name, water, density, body, heavy, there, bow, dry=dry, near=near))
    reserves = _reserves(piece, body, states, total, lost + uptake)
    swamped = next((s for s in states if "leaking" in s.name and s.floats), None)
    regulation = (
        None
        if boat is None
        else flotation(piece, body, frame, boat, foam_m3, None if swamped is None else swamped.plane)
    )
    crush = _crush(piece.foam)
    warnings = _warnings(piece, states, reserves, crush, hollow)
    checks = () if regulation is None else regulation.checks
    return FloatResult(
        frame,
        bow,
        centres[0],
        hollow,
        edge,
        tuple(states),
        reserves,
        foam_m3,
        crush,
        regulation,
        checks,
        warnings + (() if regulation is None else regulation.warnings),
    )


def _bow(piece: Piece, frame: PourFrame) -> np.ndarray:
    """Unit vector in plan towards the bow."""
    boat = piece.site.boat
    if boat is not None and boat.bow is not None:
        plan = (frame.rotation @ np.asarray(boat.bow))[:2]
        if np.linalg.norm(plan) > 1e-6:
            return np.asarray(plan / np.linalg.norm(plan))
    return np.array([1.0, 0.0]) if frame.size_m[0] >= frame.size_m[1] else np.array([0.0, -1.0])


def _edge(body: tuple[np.ndarray, np.ndarray]) -> tuple[float, float]:
    """Height of the lowest edge of the hollows, upright, and what they hold up to it; NaN and 0 without a hollow."""
    points, faces = body
    up, top = np.array([0.0, 0.0, 1.0]), float(points[:, 2].max())
    least = HOLLOW_SHARE * submerged(points, faces, up, top + 1e-6).volume_m3

    def hollow(level: float) -> float:
        dry = submerged(points, faces, up, level, bail=True)
        return dry.volume_m3 - submerged(points, faces, up, level).volume_m3 if dry.dry_bowls else 0.0

    levels = np.linspace(top, 0.0, 60)
    held = next((k for k, level in enumerate(levels) if hollow(float(level)) > least), None)
    if held is None or held == 0:
        return math.nan, 0.0
    low, high = float(levels[held]), float(levels[held - 1])
    for _ in range(20):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if hollow(middle) > least else (low, middle)
    return low, hollow(low)


def _leaking(
    piece: Piece, frame: PourFrame, weights: np.ndarray, places: np.ndarray, water_kg: float
) -> tuple[np.ndarray, np.ndarray]:
    """Weights and centres with water in the room that the foam has left, spread as the foam is."""
    foam = [part for part in piece.parts if part.kind == "foam"]
    share = np.array([part.kg.nominal for part in foam])
    at = frame.to_standing((share[:, None] * [part.centre_m for part in foam]).sum(axis=0) / share.sum())
    wet = weights + water_kg
    return wet, (places * weights[:, None] + water_kg * at) / wet[:, None]


def _state(
    name: str,
    water: str,
    density: float,
    body: tuple[np.ndarray, np.ndarray],
    weights: np.ndarray,
    places: np.ndarray,
    bow: np.ndarray,
    *,
    dry: bool,
    near: np.ndarray | None = None,
) -> FloatState:
    up = np.array([0.0, 0.0, 1.0])
    points, faces = body
    kg = Range(*(float(w) for w in weights))
    rest = settle(points, faces, float(weights[1]), places[1], density, up, bail=dry, near=near)
    at = rest.floating
    beside = at.normal if at is not None and rest.moved else None
    rests = [
        rest if k == 1 else settle(points, faces, float(weights[k]), places[k], density, up, bail=dry, near=beside)
        for k in range(3)
    ]
    if at is None:
        words = f"{name}, {water} water: it SINKS."
        nan = math.nan
        where = np.full(3, nan)
        plane = (0.0, 0.0, 1.0, nan)
        return FloatState(
            name, water, kg, Range.exact(math.inf), nan, where, nan, nan, nan, nan, nan, nan, nan, False, False,
            plane, words,
        )  # fmt: skip
    drafts = [math.inf if r.floating is None else _draft(r.floating, points) for r in rests]
    beam = np.array([-bow[1], bow[0], 0.0])
    ahead = np.array([bow[0], bow[1], 0.0])
    trim, heel = (math.asin(float(np.clip(axis @ at.normal, -1, 1))) for axis in (ahead, beam))
    capsizes = at.tilt_rad > CAPSIZED_RAD or not rest.stable
    middle = 0.5 * (points.min(axis=0) + points.max(axis=0))
    along = points @ ahead
    fore, aft = (_height(at, middle + ahead * (end - middle @ ahead)) for end in (along.max(), along.min()))
    free = math.nan
    if dry and not capsizes:
        free = _freeboard(at, points, faces)
    words = _words(f"{name}, {water} water", rest.moved, at, capsizes, any(math.isinf(d) for d in drafts))
    x, y, z = (float(v) for v in at.normal)
    plane = (x, y, z, float(at.level_m))
    return FloatState(
        name,
        water,
        kg,
        Range(min(drafts), drafts[1], max(drafts)),
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
        plane,
        words,
    )


def _draft(at: Floating, points: np.ndarray) -> float:
    return float(at.level_m - (points @ at.normal).min())


def _height(at: Floating, point: np.ndarray) -> float:
    """Height of the water over the base plane, in line with ``point`` (its own height does not matter)."""
    if abs(at.normal[2]) < 1e-3:
        return math.nan
    return float((at.level_m - at.normal[:2] @ point[:2]) / at.normal[2])


def _freeboard(at: Floating, points: np.ndarray, faces: np.ndarray) -> float:
    """From the water up to the lowest edge of a hollow, square to the water; NaN where there is no hollow."""
    turned = points @ _level_axes(at.normal).T
    edge, hollow = _edge((turned - [0.0, 0.0, float(turned[:, 2].min())], faces))
    return math.nan if hollow == 0 else edge - (at.level_m - float(turned[:, 2].min()))


def _level_axes(normal: np.ndarray) -> np.ndarray:
    first = np.cross([0.0, 1.0, 0.0] if abs(normal[1]) < 0.9 else [1.0, 0.0, 0.0], normal)
    first = first / np.linalg.norm(first)
    return np.array([first, np.cross(normal, first), normal])


def _words(where: str, moved: bool, at: Floating, capsizes: bool, end_sinks: bool) -> str:
    tilt = math.degrees(at.tilt_rad)
    if capsizes:
        words = f"{where}: it CAPSIZES; let go upright it comes to rest {tilt:.0f} degrees over."
    elif moved:
        words = f"{where}: upright is not stable; it lolls to {tilt:.0f} degrees."
    else:
        words = f"{where}: it floats upright, {tilt:.1f} degrees off level."
    return words + (" At the high end of its weight it SINKS." if end_sinks else "")


def _reserves(
    piece: Piece, body: tuple[np.ndarray, np.ndarray], states: list[FloatState], total: np.ndarray, lost_m3: float
) -> tuple[Reserve, ...]:
    """Added weight that takes the body under: dry to its lowest edge, and swamped with water in all it can reach."""
    points, faces = body
    rows = []
    for water, density in WATERS:
        dry = next(s for s in states if s.water == water and s.name == "empty, dry")
        if not math.isnan(dry.freeboard_m):
            normal = np.array(dry.plane[:3])
            held = submerged(points, faces, normal, dry.plane[3] + dry.freeboard_m, bail=True).volume_m3
            rows.append(
                Reserve(
                    "dry, to the lowest edge of the hollow",
                    water,
                    _margin(held, held, density, total),
                    "kept on an even keel, the water reaches the edge with this much more on board",
                )
            )
        swamped = piece.enclosed_m3 - lost_m3
        rows.append(
            Reserve(
                "swamped and leaking, to the last of it awash",
                water,
                _margin(swamped, piece.enclosed_m3, density, total),
                "low: heaviest, foam at its lowest yield, skin leaking into all the room that is left",
            )
        )
    return tuple(rows)


def _margin(low_m3: float, nominal_m3: float, density: float, total: np.ndarray) -> Range:
    low, nominal = density * low_m3 - float(total.max()), density * nominal_m3 - float(total[0])
    return Range(low, nominal, density * nominal_m3 - float(total.min()))


def _crush(foam: FoamSolid) -> tuple[CrushDepth, ...]:
    thin = min(1.0, foam.density_kg_m3.low / foam.grade_density_kg_m3)
    strength = foam.compressive_pa * thin**1.5
    return tuple(
        CrushDepth(
            share,
            words,
            float(crush_depth(strength, FRESH_WATER, share)),
            float(crush_depth(strength, SEA_WATER, share)),
        )
        for share, words in CRUSH_SHARES
    )


def _warnings(
    piece: Piece, states: list[FloatState], reserves: tuple[Reserve, ...], crush: tuple[CrushDepth, ...], hollow: float
) -> tuple[str, ...]:
    lines = [s.words for s in states if s.capsizes or not s.floats or "SINKS" in s.words or "lolls" in s.words]
    lines += [
        f"{r.name.capitalize()}, {r.water} water: NO reserve at the low end ({r.kg.low:.0f} kg)."
        for r in reserves
        if r.kg.low <= 0
    ]
    lines.append(
        f"Bare {piece.foam.grade} foam crushes under {crush[0].fresh_m:.1f} m of fresh water and creeps long before: a "
        "depth that is quoted for a coated or skinned float is not one for bare foam. Uniaxial strength is used; under "
        "water from all sides it can be lower."
    )
    if piece.open_ends:
        lines.append(
            f"{piece.open_ends} opening(s) of the shell are counted as closed watertight; water that gets in there is "
            "not in these numbers."
        )
    if hollow == 0:
        lines.append("No hollow that could hold water was found: dry and swamped are the same.")
    return tuple(lines)
