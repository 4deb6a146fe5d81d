"""Ribs in words: where they are, their dams, how the hose gets in, what stays hollow."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pourwright import units
from pourwright.wording.checks import force
from pourwright.wording.lifts import standing_place

if TYPE_CHECKING:
    from pourwright.plan import RibbedPlan
    from pourwright.ribs import Dam, Hollow, WayIn

DAM_HEAD = (
    "dam",
    "upper face above the base",
    "board",
    "weighs",
    "pushed down with",
    "battens no farther apart",
    "in by",
)


def rib_lines(plan: RibbedPlan) -> list[str]:
    """What the ribs are and what is done for them, in the order of the work."""
    found = plan.ribbed
    bands = "; ".join(f"{units.length(low)} to {units.length(high)}" for low, high in found.rules.bands_m)
    out = [
        f"Foam only from {bands} above the base: {units.volume(found.foam_m3)}. {units.volume(found.hollow_m3)} stays "
        f"hollow, and {1 - found.coverage:.0%} of the skin has no foam behind it.",
    ]
    out += _dams(plan)
    out += [_way_in(plan, way) for way in found.ways_in]
    out += [_hollow(plan, n, one) for n, one in enumerate(found.hollows, start=1)]
    if found.hollows:
        out.append(
            "Drain and breather are drilled before the first pour and stay open: the breather lets out the air that "
            "foam drives before it, and both the water that gets in as vapour later (common practice, no source)."
        )
    return [
        *out,
        "Mark the outside with the heights of the ribs: between them nothing holds a screw, an anchor or a push, and "
        "nothing is drilled there later that water could get in by.",
        "The ribs are planned as vessels that are open at the top. Not computed: how much the ribs stiffen a panel "
        "that they only cross, the bulge of the skin by finite elements, and heat through dam and hollow, which are "
        "taken for skin and shop air.",
    ]


def _dams(plan: RibbedPlan) -> list[str]:
    found = plan.ribbed
    if not found.dams:
        return ["No dam: every rib stands on the bottom of the piece."]
    board = units.length(found.rules.board_m)
    out = [
        f"Cut each dam of {board} plywood or foam-core board by its drawing at full size (dam_1.svg ..., dams.dxf), "
        "bevel its edge to the skin, and lay it on battens or blocks that are bonded to the skin, or on legs that "
        "stand on the bottom of the piece or on the rib under it once that is set. Tape the joint on the foam's "
        "side; one wider than the tape is packed with a strip of soft foam first. Dams are boards that stay in "
        "(common practice, no source).",
        "Set all dams before the first pour, the one farthest from the mouth first; where hands have to pass a rib to "
        "reach the next one, set and pour them one by one. Look at every joint with a lamp from below.",
    ]
    pieced = [dam for dam in found.dams if dam.strips > 1]
    if pieced:
        said = ", ".join(f"{dam.name} of {dam.strips}" for dam in pieced)
        out.append(
            f"To pass the mouth a dam is sawn into strips ({said}) along the broken lines of its drawing, and joined "
            "inside by tape and by a batten across every joint."
        )
    if any(not dam.mouth for dam in found.dams):
        out.append(
            "Through no mouth of this shell a dam can be brought in: set the dams before the shell is closed, or "
            "blow up a closed tube or bag of film under the rib through a hole and pour against that. Neither is "
            "planned here."
        )
    return out


def _way_in(plan: RibbedPlan, way: WayIn) -> str:
    where = standing_place(plan.frame.to_standing(way.point_m))
    if way.opening:
        return f"{way.name}: {way.over} is poured through {way.opening}, straight above it, {where}."
    if not way.found:
        return (
            f"{way.name}: no place for a hole of {units.length(way.hole_m)} over {way.over} was found that is clear of "
            f"the ribs; the skin is nearest to it {where}. Find one there by hand before anything is poured."
        )
    return (
        f"{way.name}: {way.over} is poured with a hose through a hole of {units.length(way.hole_m)} in the side, "
        f"{where}. Lead its end to the place that the pour names."
    )


def _hollow(plan: RibbedPlan, number: int, one: Hollow) -> str:
    drain, breather = (standing_place(plan.frame.to_standing(at)) for at in (one.drain_m, one.breather_m))
    return (
        f"Hollow {number}: {units.volume(one.volume_m3)} between {units.length(one.bottom_m)} and "
        f"{units.length(one.top_m)} above the base. Drain {drain}. Breather {breather}."
    )


def dam_rows(plan: RibbedPlan) -> list[tuple[str, ...]]:
    """A row for each dam."""
    return [
        (
            f"{dam.name}, under rib {dam.rib}", units.length(dam.height_m), _board(dam), units.mass(dam.kg.nominal),
            f"{force(dam.force_n.nominal)}, up to {force(dam.force_n.high)}", units.length(dam.span_m), _in_by(dam),
        )
        for dam in plan.ribbed.dams
    ]  # fmt: skip


def _board(dam: Dam) -> str:
    left, front, right, back = dam.shape.bounds
    return f"{units.length(right - left)} by {units.length(back - front)}, joint up to {units.length(dam.joint_m)}"


def _in_by(dam: Dam) -> str:
    if not dam.mouth:
        return "no mouth" if dam.mouth_m <= 0 else f"no mouth wide enough ({units.length(dam.mouth_m)})"
    pieces = "whole" if dam.strips == 1 else f"in {dam.strips} strips"
    return f"{dam.mouth}, {units.length(dam.mouth_m)} clear, {pieces}; {units.length(dam.reach_m)} to its far edge"
