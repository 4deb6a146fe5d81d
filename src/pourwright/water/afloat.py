"""A hull or float on the water: draft, trim, heel and stability, reserve buoyancy, depth at which its foam crushes."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from pourwright.cavity import PourFrame, pour_frame
from pourwright.findings import Code, Finding, finding
from pourwright.lifts import Check
from pourwright.outcome import (
    FoamSolid,
    Piece,
    Surface,
    corner_centres,
    corner_masses,
    not_known,
    over,
    refusals,
    unknowns,
)
from pourwright.physics.buoyancy import FRESH_WATER, SEA_WATER
from pourwright.physics.foam_strength import crush_depth
from pourwright.ranges import Range
from pourwright.water.flotation import Flotation, flotation, swamped_loads
from pourwright.water.hydrostatics import UNDER_EDGE_M
from pourwright.water.state import Body, Filling, FloatState, Load, float_state

WATERS = (("fresh", FRESH_WATER), ("sea", SEA_WATER))
SWAMPED, FULL = "swamped and leaking", "full and leaking"
LEAKING = f"empty, {SWAMPED}"
HEEL_RAD = math.radians(10.0)
"""Most heel in the level test without persons (33 CFR 183.235, read in a public copy; 183.335 as that)."""
HIGHER_M = 0.001
"""A centre of mass that is higher by no more than this is as high: our judgement, no published source."""
PERSONS_TEST, UNMANNED_TEST = "level test load,", "level test load without persons"
"""How the states of the level tests begin: weights for persons are hung in the first."""
CRUSH_SHARES = (
    (1.0, "crushes"),
    (0.5, "for a day at most (our judgement, no published source)"),
    (0.25, "for good (our judgement; creep tests of insulation give 0.20 to 0.25)"),
)


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
    filling: tuple[Filling, ...]  # fresh water, nominal weights; empty without a hollow
    reserves: tuple[Reserve, ...]
    foam_m3: Range  # low: the planned liquids at their lowest yield
    crush: tuple[CrushDepth, ...]
    flotation: Flotation | None
    checks: tuple[Check, ...]
    warnings: tuple[Finding, ...]


def foam_volume(foam: FoamSolid) -> Range:
    """Foam that the planned liquids give: at their lowest yield the smallest cavity is not filled to the end [m3]."""
    share = foam.density_kg_m3.nominal / foam.density_kg_m3.high
    return Range(foam.volume_m3.low * share, foam.volume_m3.nominal, foam.volume_m3.high)


@refusals.register
def _(result: FloatResult) -> tuple[str, ...]:
    bad = (words for state, words in _sunk(result) if not _at_most(result, state))
    return (*bad, *over(result.checks))


@unknowns.register
def _(result: FloatResult) -> tuple[str, ...]:
    bad = (f"{words} under the level method's weights" for state, words in _sunk(result) if _at_most(result, state))
    heels = (f"{state.name}: heels by more than 10 degrees" for state in result.states if _may_fail(state))
    judged = result.flotation
    loss = ("lift that the foam loses to water: boat.uptake",)
    return (*bad, *heels, *not_known(result.checks), *(loss if judged and math.isnan(judged.allowance.share) else ()))


def _sunk(result: FloatResult) -> list[tuple[FloatState, str]]:
    lost = [(s, f"{s.name}, {s.water} water: sinks") for s in result.states if s.end_sinks or not s.floats]
    over = [s for s in result.states if (s.capsizes or s.end_capsizes) and s.upright_asked]
    heels = [s for s in result.states if s.name.startswith(UNMANNED_TEST) and heels_too_far(s) and s not in over]
    lost += [(s, f"{s.name}, {s.water} water: capsizes") for s in over]
    return lost + [(s, f"{s.name}, {s.water} water: heels by more than 10 degrees") for s in heels]


def heels_too_far(state: FloatState) -> bool:
    """Whether it lies with more heel than the level test without persons allows."""
    return state.floats and abs(state.heel_rad) > HEEL_RAD


def _may_fail(state: FloatState) -> bool:
    """The level test with persons heeled as the one without must not be: its own rule (183.225) is not read."""
    return state.name.startswith(PERSONS_TEST) and heels_too_far(state) and not (state.capsizes or state.end_capsizes)


def _at_most(result: FloatResult, state: FloatState) -> bool:
    """Whether the weights of a test are more than the boat's rule asks for: it may pass all the same.

    Of the modified rule only those for persons are less than the level method's.
    """
    return result.flotation is not None and result.flotation.rule == "modified" and state.name.startswith(PERSONS_TEST)


def afloat(piece: Piece, surface: Surface) -> FloatResult:
    """Everything about the piece on calm water.

    The body is the outside face; openings are closed by their flat caps. Dry: a hollow that the water has not reached
    over its edge is empty. Swamped: water stands in every hollow as high as outside. Full: it stands up to the lowest
    edge, or as high as outside where that is higher; its weight and its free surface count. Where the skin leaks as
    well, water takes whatever room the foam has left at its lowest yield. Test loads are those of basic and level
    flotation, as they weigh under water, at the load's place, on the piece at its heaviest, leaking.

    Parameters
    ----------
    piece : Piece
    surface : Surface
    """
    boat = piece.site.boat
    frame = piece.frame
    if boat is not None and boat.up is not None:
        frame = pour_frame(surface.vertices_m, np.asarray(boat.up), -piece.frame.rotation[1])
    body = Body(frame.to_standing(surface.vertices_m), surface.faces)
    masses = corner_masses(piece.parts)
    total = masses.sum(axis=1)
    centres = frame.to_standing(corner_centres(piece.parts, masses))
    ends = _ends(total, centres)
    weights, places = total[ends], centres[ends]
    bow = _bow(piece, frame)
    foam_m3 = foam_volume(piece.foam)
    lost = piece.foam.volume_m3.high - foam_m3.low
    uptake = 0.0 if boat is None else (boat.uptake or 0.0) * foam_m3.nominal
    states: list[FloatState] = []
    for water, density in WATERS:
        leak = (lost + uptake) * density
        loads = _loads(piece, frame, weights, places, leak, bool(body.found), tested=density == FRESH_WATER)
        states += _states(loads, water, density, body, bow, states)
    filling = _filling(states, weights, places, piece, frame, body)
    reserves = _reserves(piece, body, states, total, lost + uptake)
    swamped = next((s for s in states if s.name == LEAKING and s.floats), None)
    skin = body.points, surface.faces[~surface.cap]
    regulation = (
        None
        if boat is None
        else flotation(piece, skin, frame, boat, foam_m3, None if swamped is None else swamped.plane)
    )
    crush = _crush(piece.foam)
    warnings = _warnings(piece, states, filling, reserves, crush, body)
    checks = () if regulation is None else regulation.checks
    return FloatResult(
        frame,
        bow,
        centres[0],
        sum(hollow.water.volume_m3 for hollow in body.found),
        body.found[0].edge_m if body.found else math.nan,
        tuple(states),
        filling,
        reserves,
        foam_m3,
        crush,
        regulation,
        checks,
        warnings + (() if regulation is None else regulation.warnings),
    )


def _ends(total: np.ndarray, centres: np.ndarray) -> list[int]:
    """Corners that are set afloat: the lightest, the nominal, the heaviest, and the highest if it is none of them."""
    ends = [int(total.argmin()), 0, int(total.argmax())]
    top = int(centres[:, 2].argmax())
    return [*ends, top] if centres[top, 2] > centres[ends, 2].max() + HIGHER_M else ends


def _loads(
    piece: Piece,
    frame: PourFrame,
    weights: np.ndarray,
    places: np.ndarray,
    leak_kg: float,
    hollow: bool,
    *,
    tested: bool,
) -> list[Load]:
    """What the body carries and what water does to it, in the order of the page."""
    boat = piece.site.boat
    loads = [Load("empty, dry", weights, places, "dry")]
    if boat is not None and boat.load_at is not None:
        load = boat.capacity_kg if boat.capacity_kg is not None else boat.persons_kg
        loads.append(_with_load("loaded, dry", weights, places, load, boat.load_at.standing(frame), "dry"))
    wet = _leaking(piece, frame, weights, places, leak_kg)
    if hollow:
        loads += [Load("empty, swamped", weights, places, "open"), Load("empty, full", weights, places, "full")]
    loads.append(Load(LEAKING, *wet, "open"))
    if tested and boat is not None and boat.load_at is not None:
        heavy = wet[0][2:], wet[1][2:]
        for name, kg in swamped_loads(boat):
            for words, water in ((SWAMPED, "open"), (FULL, "full"))[: 1 + hollow]:
                test = _with_load(f"{name}, {words}", *heavy, kg, boat.load_at.standing(frame), water)
                # Basic flotation may float at any attitude (Boatbuilder's Handbook, definitions).
                loads.append(replace(test, upright=not name.startswith("basic")))
    return loads


def _with_load(name: str, kg: np.ndarray, at_m: np.ndarray, load_kg: float, load_m: np.ndarray, water: str) -> Load:
    total = kg + load_kg
    return Load(name, total, (at_m * kg[:, None] + load_kg * load_m) / total[:, None], water)


def _states(
    loads: list[Load], water: str, density: float, body: Body, bow: np.ndarray, known: list[FloatState]
) -> list[FloatState]:
    """Every load at rest; one in which no water gets into the hollows says nothing that the dry one has not said."""
    out: list[FloatState] = []
    for load in loads:
        # What capsized in one water lies much the same in the other.
        like = next((s for s in known if s.name == load.name and s.capsizes), None)
        near = None if like is None else np.array(like.plane[:3])
        state = float_state(load, water, density, body, bow, near)
        dry = load.name == "empty, swamped" and state.floats and state.held_m3 == 0
        same = any(s.draft_m == state.draft_m and s.held_m3 == state.held_m3 for s in out)
        if not dry and not (same and load.water == "full"):
            out.append(state)
    return out


def _filling(
    states: list[FloatState], weights: np.ndarray, places: np.ndarray, piece: Piece, frame: PourFrame, body: Body
) -> tuple[Filling, ...]:
    """Stability while the hollows fill, in the attitudes of the dry states in fresh water."""
    out = []
    loads = _loads(piece, frame, weights, places, 0.0, bool(body.found), tested=False)
    for load in loads if body.found else []:
        state = next((s for s in states if s.name == load.name and s.water == WATERS[0][0]), None)
        if load.water != "dry" or state is None or not state.floats or state.capsizes:
            continue
        least, held = body.filling(float(load.kg[1]), load.at_m[1], WATERS[0][1], np.array(state.plane[:3]))
        if not math.isnan(least):
            out.append(Filling(load.name, state.water, least, held))
    return tuple(out)


def _bow(piece: Piece, frame: PourFrame) -> np.ndarray:
    """Unit vector in plan towards the bow."""
    boat = piece.site.boat
    if boat is not None and boat.bow is not None:
        plan = (frame.rotation @ np.asarray(boat.bow))[:2]
        if np.linalg.norm(plan) > 1e-6:
            return np.asarray(plan / np.linalg.norm(plan))
    return np.array([1.0, 0.0]) if frame.size_m[0] >= frame.size_m[1] else np.array([0.0, -1.0])


def _leaking(
    piece: Piece, frame: PourFrame, weights: np.ndarray, places: np.ndarray, water_kg: float
) -> tuple[np.ndarray, np.ndarray]:
    """Weights and centres with water in the room that the foam has left, spread as the foam is."""
    foam = [part for part in piece.parts if part.kind == "foam"]
    share = np.array([part.kg.nominal for part in foam])
    at = frame.to_standing((share[:, None] * [part.centre_m for part in foam]).sum(axis=0) / share.sum())
    wet = weights + water_kg
    return wet, (places * weights[:, None] + water_kg * at) / wet[:, None]


def _reserves(
    piece: Piece, body: Body, states: list[FloatState], total: np.ndarray, lost_m3: float
) -> tuple[Reserve, ...]:
    """Added weight that takes the body under: dry to its lowest edge, and swamped with water in all it can reach."""
    rows = []
    for water, density in WATERS:
        dry = next(s for s in states if s.water == water and s.name == "empty, dry")
        if not math.isnan(dry.freeboard_m):
            normal, edge = np.array(dry.plane[:3]), dry.plane[3] + dry.freeboard_m
            held = body.hull.under(normal, edge - UNDER_EDGE_M, bail=True).volume_m3
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
    strength = foam.crushing_pa
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
    piece: Piece,
    states: list[FloatState],
    filling: tuple[Filling, ...],
    reserves: tuple[Reserve, ...],
    crush: tuple[CrushDepth, ...],
    body: Body,
) -> tuple[Finding, ...]:
    bad = [s for s in states if s.in_danger]
    lines = [finding(Code.FLOATS_BADLY, s.name, words=s.words) for s in bad]
    lines += [
        finding(Code.UNSTABLE_WHILE_FILLING, f.name.removesuffix(", dry"), water=f.water)
        for f in filling
        if f.gm_m <= 0
    ]
    lines += [finding(Code.NO_RESERVE, r.name, water=r.water, kg=r.kg.low) for r in reserves if r.kg.low <= 0]
    lines.append(finding(Code.BARE_FOAM_CRUSHES, piece.foam.grade, fresh_m=crush[0].fresh_m))
    if piece.open_ends:
        lines.append(finding(Code.OPENINGS_COUNTED_SHUT, count=float(piece.open_ends)))
    if not body.found:
        lines.append(finding(Code.NO_HOLLOW, shut_m3=piece.foam.hollow_m3))
    elif not any(s.name == "empty, swamped" for s in states):
        lines.append(finding(Code.HOLLOWS_DRAIN))
    boat = piece.site.boat
    if boat is not None and boat.load_at is None:
        lines.append(finding(Code.NO_PLACE_OF_LOAD))
    return tuple(lines)
