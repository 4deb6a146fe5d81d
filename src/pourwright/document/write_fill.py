"""From a plan to the block of ``plan.json`` that tells how the piece is filled."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pourwright.document.model_fill import (
    BareDoc,
    ChamberDoc,
    CoatDoc,
    CoreDoc,
    CoresDoc,
    FillDoc,
    HollowHoleDoc,
    LinedPartDoc,
    PinDoc,
    PositionDoc,
    SolidPlaceDoc,
)
from pourwright.document.reflect import block_of
from pourwright.document.values import known, point, range_block
from pourwright.document.write_ribs import ribs_block
from pourwright.document.write_shot import shot_keys
from pourwright.foam import parts_for
from pourwright.plan import CoredPlan, LinedPlan, RibbedPlan

if TYPE_CHECKING:
    from pourwright.cores import Cored
    from pourwright.lining import Bare, Coat, Position, SolidPlace
    from pourwright.plan import Plan


def fill_block(plan: Plan) -> FillDoc:
    """Style, foam and hollow of a plan; coats and positions of a lining."""
    if isinstance(plan, RibbedPlan):
        found = plan.ribbed
        return FillDoc(
            style="ribs", foam_m3=found.foam_m3, hollow_m3=found.hollow_m3, coverage=found.coverage,
            ribs=ribs_block(found),
        )  # fmt: skip
    if not isinstance(plan, LinedPlan):
        empty = sum(space.volume_m3 for space in plan.lift_plan.unfilled)
        return FillDoc(
            style="core" if isinstance(plan, CoredPlan) else "solid",
            foam_m3=plan.cavity.volume_m3 - empty,
            hollow_m3=empty,
            coverage=1.0,
            cores=_cores(plan.cores) if isinstance(plan, CoredPlan) else None,
            **shot_keys(plan),
        )
    lining = plan.lining
    solid = parts_for(plan.foam, lining.solid_kg.nominal)
    return FillDoc(
        style="lining",
        foam_m3=lining.region.foam_m3,
        hollow_m3=lining.region.hollow_m3,
        coverage=lining.coverage,
        thickness_m=lining.region.thickness_m,
        most_coat_m=lining.most_coat_m,
        coats=[_coat(coat) for coat in lining.coats],
        surplus_m3=lining.surplus_m3,
        thinnest_m=lining.thinnest_m,
        thickest_coat_m=lining.thickest_coat_m,
        by="turning" if lining.spread is None else "spreading",
        reach_m=None if lining.spread is None else lining.spread.reach_m,
        far_share=0.0 if lining.spread is None else lining.spread.far_share,
        over_share=0.0 if lining.spread is None else lining.spread.over_share,
        turning=lining.turning.words,
        rolls=lining.rolls,
        parts=[block_of(LinedPartDoc, part) for part in lining.parts],
        sequence=[_position(one) for one in lining.sequence],
        bare=[_bare(place) for place in lining.bare],
        chambers=[
            ChamberDoc(volume_m3=c.volume_m3, middle_m=point(c.middle_m), clear_m=c.clear_m) for c in lining.chambers
        ],
        holes=[
            HollowHoleDoc(use=h.use, hollow=h.hollow, point_m=point(h.point_m), deep_m=h.deep_m, board=h.board)
            for h in lining.holes
        ],
        pins=[
            PinDoc(name=f"P{n}", point_m=point(pin.point_m), foam_m=pin.thickness_m)
            for n, pin in enumerate(lining.pins, start=1)
        ],
        solid=[_place(one) for one in lining.places],
        solid_a_kg=solid.a_kg,
        solid_b_kg=solid.b_kg,
        hours=lining.hours,
        least_m=known(lining.least_m),
    )


def _place(place: SolidPlace) -> SolidPlaceDoc:
    return SolidPlaceDoc(
        volume_m3=place.volume_m3, point_m=point(place.point_m), bottom_m=place.bottom_m, top_m=place.top_m,
        asked=place.asked, half_m=known(place.half_m), rests=place.rests,
    )  # fmt: skip


def _cores(found: Cored) -> CoresDoc:
    rules = found.rules
    return CoresDoc(
        kind=rules.kind, size_m=rules.size_m, density_kg_m3=rules.density_kg_m3, kg=range_block(rules.kg),
        limit_k=rules.limit_k, cover_m=rules.cover_m, gap_m=rules.gap_m, volume_m3=found.volume_m3,
        saved_kg=found.saved_kg, mouth_m=found.mouth_m, hottest_k=known(found.hottest_k),
        laid=[
            CoreDoc(
                name=one.name, course=one.course, low_m=point(one.low_m), high_m=point(one.high_m), uplift_n=known(push)
            )
            for one, push in zip(found.laid, found.uplift_n, strict=True)
        ],
    )  # fmt: skip


def _bare(place: Bare) -> BareDoc:
    return BareDoc(share=place.share, point_m=point(place.point_m))


def _coat(coat: Coat) -> CoatDoc:
    mix = coat.parts
    return CoatDoc(
        number=coat.number, thickness_m=coat.thickness_m, foam_m3=coat.foam_m3, surplus_m3=coat.surplus_m3,
        board_m3=coat.board_m3, foam_kg=range_block(coat.foam_kg), part_a_m3=mix.a_m3, part_b_m3=mix.b_m3,
        part_a_kg=mix.a_kg, part_b_kg=mix.b_kg, cups=coat.cups, wait_s=coat.wait_s,
        film_m=coat.film_m, followed_m3=coat.followed_m3, poured=coat.poured,
        up=point(coat.up), aims=list(coat.aims), area_m2=coat.area_m2, reach_m=coat.reach_m,
    )  # fmt: skip


def _position(one: Position) -> PositionDoc:
    return PositionDoc(
        coat=one.coat, number=one.number, up=point(one.up), seconds=one.seconds,
        axis=(0.0, 0.0, 0.0) if one.roll.still else point(one.axis),
        turn_rad=one.roll.turn_rad, covers=one.share, missed_without=_bare(one.missed), bare_without=_bare(one.alone),
    )  # fmt: skip
