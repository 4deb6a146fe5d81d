"""What a machine, a fixture and a series make of a plan, as lines in both systems."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from pourwright import units
from pourwright.fixture import SOFTER
from pourwright.wording.access import block_words
from pourwright.wording.checks import force
from pourwright.wording.lifts import standing_place

if TYPE_CHECKING:
    from pourwright.fixture import Fixture, FixtureFace, FixturePlate, Release
    from pourwright.plan import MachinePlan
    from pourwright.series import Series, Spread

SHOT_HEAD = ("order", "port", "pour", "weight", "seconds", "starts after")
PLATE_HEAD = ("side", "pushed with", "at most", "acts at", "clamps", "each holds", "ribs apart")
REACH_HEAD = ("port", "fills", "foam goes", "gaps long", "density at the port", "at the end", "last place to fill")
LEVEL_RAD = math.radians(0.2)
"""A part that leans less counts as level."""
NOT_KNOWN = "NOT KNOWN: the part is not to be opened by this page"


def packing_lines(plan: MachinePlan) -> list[str]:
    """The window of packing, the way of the foam, the weight to see."""
    shot = plan.shot
    window = shot.window
    least = "none that was tried fills it" if math.isnan(window.lowest) else f"{window.lowest:.2f}"
    lines = [
        f"packing {window.chosen:.2f}{' (given)' if window.given else ''}: {least} is the least that leaves no void, "
        f"{window.highest:.2f} the most that the fixture bears"
    ]
    if window.closed_by:
        lines.append(f"NO WINDOW: {window.closed_by}")
    lines += tilt_lines(plan)
    for flow in shot.flows:
        last = standing_place(plan.frame.to_standing(flow.last_point_m))
        lines.append(
            f"pour {flow.pour}: foam goes up to {units.length(flow.length_m)} in a gap of "
            f"{units.length(flow.thickness_m)}, {flow.over_thickness:.0f} times as far as the gap is wide; last place "
            f"to fill {last}"
        )
        for knit in flow.knits:
            middle = standing_place(plan.frame.to_standing(knit.point_m))
            one, other = knit.ports
            fronts = (
                f"fronts of {one} and {other} meet" if one != other else f"foam of {one} meets itself behind something"
            )
            lines.append(f"pour {flow.pour}: {fronts}, {middle}, on about {units.area(knit.area_m2)}")
    return lines


def tilt_lines(plan: MachinePlan) -> list[str]:
    """What tilt of the fixture leads the air of each chamber to one vent, stage by stage; none where no air stays."""
    stages = plan.shot.tilts
    lines = []
    for number, stage in enumerate(stages, 1):
        many = ", ".join(str(chamber) for chamber in stage.chambers)
        what = f"chamber{'s' if len(stage.chambers) > 1 else ''} {many}"
        if stage.tilt is None:
            lines.append(
                f"{what}: no tilt up to 10 degrees leads its air to one vent: vents in its corners, as planned"
            )
            continue
        first = f"stage {number}, " if len(stages) > 1 else ""
        if stage.tilt.angle_rad == 0.0:
            lines.append(f"{first}{what}: shot as it stands, where the vents leave no air; tilted, some might stay")
            continue
        blocks = " and ".join(block_words(stage.tilt.right_m, stage.tilt.back_m))
        up = ", ".join(f"{part:.3f}" for part in plan.frame.rotation.T @ stage.tilt.up)
        lines.append(
            f"{first}{what}: {blocks}, {math.degrees(stage.tilt.angle_rad):.1f}\u00b0, leads its air to one vent; plan "
            f"it so, with piece.up = [{up}], and its holes come to lie there"
        )
    if len(stages) > 1:
        lines.append(
            "tilted for the next stage no sooner than the foam of the one before has gelled, "
            f"{units.time(plan.foam.gel_s)} after its last shot"
        )
    return lines


def stand_words(plan: MachinePlan) -> str:
    """How the part stands while it is shot: level, or tilted from the axis of its file that is nearest to upright."""
    up, frame = plan.frame.up, plan.frame
    axis = int(np.argmax(np.abs(up)))
    angle = math.acos(min(1.0, abs(float(up[axis]))))
    width, depth, height = (units.length(size) for size in frame.size_m)
    if angle < LEVEL_RAD:
        return f"level, {height} high, {width} wide, {depth} deep"
    sides = []
    for way in frame.rotation[:2]:  # to the right, to the back
        other = int(np.argmax(np.where(np.arange(3) == axis, 0.0, np.abs(way))))
        lean = np.sign(way[other]) * float(up[other]) / abs(float(up[axis]))
        sides.append(lean * float(np.ptp(plan.skin.vertices_m[:, other])))
    return f"TILTED by {math.degrees(angle):.1f}\u00b0: {' and '.join(block_words(*sides))}"


def shot_rows(plan: MachinePlan) -> list[tuple[str, ...]]:
    """One row a port, in the order they are shot into."""
    many = plan.shot.machine.heads > 1
    return [
        (
            str(number),
            f"{one.port} (head {one.head})" if many else one.port,
            one.pour,
            units.mass(one.kg),
            seconds(one.seconds),
            seconds(one.start_s),
        )
        for number, one in enumerate(plan.shot.shots, 1)
    ]


def seconds(value: float) -> str:
    """Seconds as a dispenser is set.

    >>> seconds(11.64), seconds(0.0), seconds(131.2)
    ('11.6 s', '0.0 s', '131.2 s')
    """
    return f"{value:.1f} s"


def reach_rows(plan: MachinePlan) -> list[tuple[str, ...]]:
    """One row a port: what it fills, how far its foam goes, how dense it is near and far."""
    rows: list[tuple[str, ...]] = []
    order = [shot.port for shot in plan.shot.shots]
    for flow in plan.shot.flows:
        for one in sorted(flow.ports, key=lambda reach: order.index(reach.port)):
            rows.append(
                (
                    one.port,
                    units.volume(one.volume_m3),
                    units.length(one.length_m),
                    f"{one.length_m / flow.thickness_m:.0f}",
                    units.density(one.near_density_kg_m3),
                    units.density(one.far_density_kg_m3),
                    standing_place(plan.frame.to_standing(one.last_point_m)),
                )
            )
    return rows


def plates_of(fixture: Fixture) -> tuple[FixturePlate, ...]:
    """Plates that are needed, or not known not to be."""
    return tuple(plate for plate in fixture.plates if plate.needed)


def plate_rows(plan: MachinePlan) -> list[tuple[str, ...]]:
    """One row a plate."""
    rows: list[tuple[str, ...]] = []
    for plate in plates_of(plan.shot.fixture):
        at = standing_place(plan.frame.to_standing(plate.point_m))
        rows.append(
            (
                plate.side,
                force(plate.force_n.likely),
                force(plate.force_n.high),
                at,
                f"{plate.clamps}, with {plate.against}",
                force(plate.clamp_n),
                units.tape(plate.rib_m),
            )
        )
    return rows


def fixture_lines(plan: MachinePlan) -> list[str]:
    """Pressure, plates, cores, clamps, release: a line each."""
    fixture = plan.shot.fixture
    lines = [
        f"pressure {units.pressure(fixture.pressure_pa)} likely, {units.pressure(fixture.pressure_high_pa)} with the "
        f"gas heating on in set foam; the fixture bears {units.pressure(fixture.bears_pa)}",
        f"{fixture.clamps} clamps in all; those of a side tie it to the opposite one and count once",
    ]
    spared = [plate.side for plate in fixture.plates if not plate.needed]
    if spared:
        lines.append(
            f"no plate at {', '.join(spared)}: the warm skin stands the pressure there; clamps of the opposite side "
            "still need something behind it to hold on to"
        )
    lines += [_inside(face, fixture) for face in fixture.faces if face.kind != "outer"]
    alike = len({(round(one.seconds, 1), one.by) for one in fixture.releases}) == 1
    for number, one in enumerate(fixture.releases[:1] if alike else fixture.releases, 1):
        what = "the part" if alike else f"chamber {number}"
        if math.isnan(one.seconds):
            lines.append(f"when {what} may be opened is {NOT_KNOWN}")
            continue
        why = "its growth" if one.by == "growth" else "the strength of its foam"
        lines.append(
            f"{what} may be opened {units.time(one.seconds)} after its last shot, held till then by {why}: its gas "
            f"presses with {units.pressure(one.pressure_pa)} then, its core is at {units.temperature(one.core_k)}, it "
            f"grows by {units.share(one.growth_share)}; {_softer(one)}"
        )
    return [*lines, *_cooled(plan)]


def _cooled(plan: MachinePlan) -> list[str]:
    """What a part does once it is out."""
    if plan.skin.material.foam_bonds:
        return []
    return [
        "as it cools its foam shrinks away from the skin, which it does not stick to, by up to "
        f"{units.length(plan.outcome.gap_m)} where it is widest: that is no fault of the shot"
    ]


def _softer(one: Release) -> str:
    """What hangs on the curve of hot foam, which is our judgement."""
    if math.isnan(one.softer_s):
        return f"were its foam {SOFTER:.0%} softer than we judge, it could not be opened within a day"
    if one.softer_s <= one.seconds:
        return f"foam {SOFTER:.0%} softer than we judge would not change that"
    return f"were its foam {SOFTER:.0%} softer than we judge, {units.time(one.softer_s - one.seconds)} later"


def _inside(face: FixtureFace, fixture: Fixture) -> str:
    many = f" of chamber {face.chamber}" if len(fixture.releases) > 1 else ""
    push = f"{force(face.force_n.likely)}, at most {force(face.force_n.high)}"
    if face.kind == "core":
        return f"{face.name}{many}: a core there is pushed in with {push} on {units.area(face.area_m2)}"
    return (
        f"{face.name}{many}: {push} on the wall towards the next chamber, which its foam holds from the other side "
        "once both are shot; shot alone, the wall has to stand it"
    )


def series_lines(plan: MachinePlan) -> list[str]:
    """The series: rhythm, cost, spread."""
    series = plan.shot.series
    if series is None:
        return []
    line, spread = series.line, series.spread
    short = "" if line.enough else f": FEWER than the {series.parts} that are wanted"
    sets = "s" if line.bottleneck == "machine" else ""
    lines = [
        f"{line.parts_per_shift} parts a shift{short}, one every {units.time(line.cycle_s)}, with {line.fixtures} "
        f"fixture{'' if line.fixtures == 1 else 's'}; the {line.bottleneck} set{sets} the pace",
        f"first part out {units.time(line.first_s)} after the shift begins; people busy "
        f"{units.share(line.people_busy)}, machine {units.share(line.machine_busy)} of it",
        *_cost(series),
        f"weight {units.mass(spread.mean_kg)} with a standard deviation of {units.mass(spread.sd_kg)}; "
        f"{units.share(spread.reject_share)} of parts are rejected: {_rejects(spread)}",
        f"{series.drums_per_week:.1f} drums a week, both parts together",
    ]
    return lines


def _rejects(spread: Spread) -> str:
    """Why parts are rejected, each reason by itself."""
    short = "" if math.isnan(spread.short) else f", {units.share(spread.short)} are packed less than fills"
    return (
        f"{units.share(spread.too_light)} are too light, {units.share(spread.too_heavy)} too heavy{short}, "
        f"{units.share(spread.over)} packed harder than the fixture bears"
    )


def _cost(series: Series) -> Iterator[str]:
    cost = series.cost
    if cost is not None:
        yield (
            f"a good part costs {cost.per_part:.2f} in the job's money: foam {cost.foam:.2f}, labour "
            f"{cost.labour:.2f}, waste {cost.waste:.2f}, plugs {cost.plugs:.2f}, rejects {cost.rejects:.2f}; machine, "
            "rent and skin are not in it"
        )


def hold_words(plan: MachinePlan) -> str:
    """How long the part stays in its fixture."""
    held = plan.shot.fixture.release_s
    return NOT_KNOWN if math.isnan(held) else f"{units.time(held)} after the end of the last shot, not sooner"


def weight_rows(plan: MachinePlan) -> list[tuple[str, str]]:
    """What the scale shows: the gain first, since it tells of the foam alone."""
    shot = plan.shot
    scale = shot.scale
    least = (
        "how little is too little is not known"
        if math.isnan(scale.gain_low_kg)
        else f"below {units.mass(scale.gain_low_kg)} there are voids"
    )
    rows = [
        (
            "filled less empty",
            f"{units.mass(scale.gain_kg)}; {least}, above {units.mass(scale.gain_high_kg)} the fixture was overloaded: "
            "set the part aside",
        )
    ]
    job = plan.job.series
    if job is None:
        low, high = units.mass(scale.part_kg.low), units.mass(scale.part_kg.high)
        rows.append(("whole part", f"{units.mass(scale.part_kg.nominal)}, from {low} to {high} with its wall"))
    else:
        off = job.weight_share * scale.part_kg.nominal
        rows.append(
            ("whole part", f"{units.mass(scale.part_kg.nominal)} ± {units.mass(off)} ({units.share(job.weight_share)})")
        )
    return rows
