"""The words of the pages: weights, the sling, standing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pourwright import units
from pourwright.answers.page import Page, Rows, Section
from pourwright.wording.checks import (
    HIGH,
    angle,
    check_lines,
    factor_line,
    force,
    leg_angle,
    place,
)
from pourwright.wording.findings import sentences

if TYPE_CHECKING:
    from pourwright.outcome import Piece, SlingResult, StandResult, WeightRecord
    from pourwright.ranges import Range


def weights_page(piece: Piece, record: WeightRecord, made: str) -> Page:
    """Item by item, stage by stage."""
    parts = Rows(
        ("item", "from", "low", "expected", "high"),
        tuple(
            (part.name, _when(part.after_lift, piece.lined), *(units.mass(v) for v in _ends(part.kg)))
            for part in record.parts
        ),
    )
    stages = Rows(
        ("stage", "low", "expected", "high", "from the left", "from the front", "up"),
        tuple(
            (
                stage.name,
                *(units.mass(v) for v in _ends(stage.kg)),
                *(units.length(float(v)) for v in piece.frame.to_standing(stage.centre_m)),
            )
            for stage in record.stages
        ),
    )
    turn = piece.frame.rotation
    inertia = [(stage.name, turn @ stage.inertia_kgm2 @ turn.T) for stage in record.stages]
    last = record.stages[-1]
    move = last.centre_high_m - last.centre_low_m
    sections = (
        Section("Item by item", tuple(f"{part.name}: {part.why}" for part in record.parts), parts),
        Section(
            "Stage by stage, with the centre of mass as it stands to be poured",
            (
                "Totals are those of one wall thickness and one density each: a thick wall leaves less room for foam, "
                "so a total's ends lie inside the sums of the items' ends.",
                "The finished piece's centre moves by at most "
                f"{units.length(float(max(move)))} along any axis within these ranges.",
            ),
            stages,
        ),
        Section(
            "Inertia about the centre of mass, expected weights",
            ("kg m² (lb ft² in brackets) about the axes right, back and up through the centre; hardware as points.",),
            Rows(
                ("stage", "about right", "about back", "about up", "right-back", "right-up", "back-up"),
                tuple(
                    (
                        name,
                        *(_inertia(float(m[k, k])) for k in range(3)),
                        *(_inertia(-float(m[a, b])) for a, b in ((0, 1), (0, 2), (1, 2))),
                    )
                    for name, m in inertia
                ),
            ),
        ),
    )
    return Page(piece.name, piece.place, "weight record", sections, (), made)


def _ends(value: Range) -> tuple[float, float, float]:
    return value.low, value.nominal, value.high


def _when(after_lift: int, lined: bool) -> str:
    return {0: "the start", -1: "the end"}.get(after_lift, "its filling" if lined else f"lift {after_lift}")


def _inertia(value: float) -> str:
    """kg m2 and lb ft2; a product of inertia is the plain integral of x y."""
    pounds = units.converted(value, "kilogram*meter**2", "pound*foot**2")
    return f"{units.digits(value)} ({units.digits(pounds)})"


def sling_page(piece: Piece, result: SlingResult, made: str) -> Page:
    """The piece on the hook."""
    legs = Rows(
        ("leg", "holds the piece at", "length"),
        tuple(
            (leg.name, place(point), units.length(float(length)))
            for leg, point, length in zip(piece.site.legs, result.points_m, result.lengths_m, strict=True)
        ),
    )
    loads = Rows(
        ("stage", "tilt", "leg", "angle over level", "tension", "tension, high", "inward force, high"),
        tuple(
            (
                stage.name if k == 0 else "",
                angle(stage.tilt_rad) if k == 0 else "",
                leg.name,
                leg_angle(leg.angle_rad, leg.slack),
                "not in balance" if leg.tension_n is None else force(leg.tension_n.nominal),
                "not in balance" if leg.tension_n is None else force(leg.tension_n.high),
                force(leg.inward_force_n),
            )
            for stage in result.stages
            for k, leg in enumerate(stage.legs)
        ),
    )
    sections = (
        Section(
            "Hook and legs",
            (
                f"hook {result.hook_words}: {place(result.hook_m)}, while the piece still stands",
                f"centre of mass of the finished piece: {place(result.centre_m)}",
            ),
            legs,
        ),
        Section(
            "Stage by stage, at rest",
            (
                f"{HIGH} Of four legs and more the high tension is the most that any three that hold alone would "
                "carry.",
                "Tensions are those at rest. The inward force is each leg's level pull on the piece, towards "
                "the hook's plumb line.",
                *(stage.words for stage in result.stages),
            ),
            loads,
        ),
        Section(
            "Checks",
            (
                f"hoisting factor {result.dynamic:g} (1.1 to 1.3 is common practice, no source)",
                factor_line(result.factor),
                *check_lines(result.checks),
                "What holds the leg in or around the piece, the skin there, and whether a leg rubs on the piece are "
                "not computed: look at the picture.",
            ),
        ),
    )
    return Page(piece.name, piece.place, "on the sling", sections, sentences(result.warnings), made)


def stand_page(piece: Piece, result: StandResult, made: str) -> Page:
    """The piece on the ground."""
    rows = tuple(
        (
            stage.name,
            units.mass(stage.kg.nominal),
            units.length(stage.edge_m.nominal),
            angle(stage.angle_rad.nominal),
            angle(stage.angle_rad.low),
            "falls" if stage.push_n is None else force(stage.push_n.low),
            "falls" if stage.top_push_n is None else force(stage.top_push_n.low),
        )
        for stage in result.stages
    )
    bounds = result.support.bounds
    pads = " together with the pads that the job gives" if piece.site.stand.pads_m else ""
    sections = (
        Section(
            "Ground it covers",
            (
                f"hull of what is within {units.length(result.contact_m)} of the lowest point{pads}: "
                f"{units.length(bounds[2] - bounds[0])} wide, {units.length(bounds[3] - bounds[1])} deep, "
                f"{units.area(result.support.area)}; {result.touching} corners of the mesh touch",
                f"ground firm, sloping {angle(result.slope_rad)} in the worst direction; nothing holds the base",
            ),
        ),
        Section(
            "Stage by stage",
            (
                "Held to the low end: the lightest piece with its centre of mass in the worst place within the ranges.",
                "Pushes are steady sideways forces, on top of the slope; people, wind and knocks are for the engineer.",
                *(stage.words for stage in result.stages),
            ),
            Rows(
                (
                    "stage",
                    "weight",
                    "centre to edge",
                    "tips at",
                    "at least at",
                    "pushed at the centre",
                    "pushed at the top",
                ),
                rows,
            ),
        ),
    )
    return Page(piece.name, piece.place, "standing on its base", sections, sentences(result.warnings), made)
