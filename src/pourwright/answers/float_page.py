"""The words of the page for the boat shop."""

from __future__ import annotations

import math

from pourwright import units
from pourwright.answers.page import Page, Rows, Section
from pourwright.answers.trial import trial_section
from pourwright.findings import Verdict
from pourwright.outcome import Boat, Piece
from pourwright.water import MODIFIED, FloatResult, FloatState, Flotation, swamped_loads
from pourwright.wording.checks import angle, check_lines, mass_range, place
from pourwright.wording.findings import sentences

DO = {Verdict.OK: "yes", Verdict.OVER: "NO", Verdict.UNKNOWN: "not known"}
AT_MOST = "The modified method hangs no more than the level method's weights, which stand here. "


def float_page(piece: Piece, result: FloatResult, made: str) -> Page:
    """Everything about the piece on the water."""
    boat = piece.site.boat
    sections = [
        Section(
            "On calm water",
            (
                "Draft is the greatest depth under water, from the lightest to the heaviest piece; the water at bow "
                "and stern is measured up from the base plane of the upright hull.",
                "GM is the metacentric height over the weakest direction of tilt, less what the free surface of water "
                "on board takes: positive rights itself, negative does not.",
                "Swamped: water stands in every hollow as high as outside. Full: it stands up to the lowest edge of "
                "the hollow, or as high as outside where that is higher; its weight comes on top of the weight in the "
                "table. Freeboard is from the water outside up to the lowest edge that it has not reached. Leaking: "
                "water also in the room that the foam leaves at its lowest yield, and in what it takes up, spread as "
                "the foam is: on the safe side, as room above the water stays dry.",
                *(
                    f"While its hollows fill, {fill.name.removesuffix(', dry')}, {fill.water} water: GM is least with "
                    f"{units.volume(fill.held_m3)} in them, {units.length(fill.gm_m)}"
                    for fill in result.filling
                ),
                *_tests(result, boat),
                *(state.words for state in result.states if state.in_danger),
            ),
            Rows(
                ("load", "water", "weight", "in hollows", "draft", "bow", "stern", "trim", "heel", "GM", "freeboard"),
                tuple(_row(state) for state in result.states),
            ),
        ),
        Section(
            "Reserve",
            tuple(
                f"{reserve.name}, {reserve.water} water: {mass_range(reserve.kg)}; {reserve.words}"
                for reserve in result.reserves
            ),
        ),
        Section(
            "Foam",
            (
                f"foam in the cavity: {units.volume(result.foam_m3.nominal)}; at the lowest yield of the planned "
                f"liquids {units.volume(result.foam_m3.low)}",
                f"density in place {units.density(piece.foam.density_kg_m3.nominal)}, from "
                f"{units.density(piece.foam.density_kg_m3.low)} to {units.density(piece.foam.density_kg_m3.high)}",
                *(
                    f"bare foam at {units.share(crush.share)} of its strength, {crush.words}: "
                    f"{units.length(crush.fresh_m)} of fresh water, {units.length(crush.sea_m)} of sea water"
                    for crush in result.crush
                ),
            ),
        ),
    ]
    if result.flotation is not None and boat is not None:
        sections += [
            _regulation(result.flotation),
            _chambers(result.flotation, piece.foam.hollow_m3 > 0.0),
            _uptake(result.flotation),
        ]
        sections.append(trial_section(result, boat))
    else:
        sections.append(Section("Flotation by regulation", ("no [boat] is described: not computed",)))
    return Page(piece.name, piece.place, "on the water", tuple(sections), sentences(result.warnings), made)


def _tests(result: FloatResult, boat: Boat | None) -> tuple[str, ...]:
    """What the test loads are, where there are any."""
    if boat is None or not any("test load" in state.name for state in result.states):
        return ()
    loads = ", ".join(f"{name} {units.mass(kg)}" for name, kg in swamped_loads(boat))
    motor = " with motor and battery" if boat.propulsion_kg > 0 else ""
    return (
        f"Test loads of 33 CFR 183 as they weigh under water{motor}, at the load's place: {loads}; on the piece at "
        f"its heaviest, in fresh water. {AT_MOST if boat.flotation == 'modified' else ''}Basic flotation may lie at "
        "any attitude as long as some of it stays above the "
        "water (183.105); level flotation is tested for 10 degrees of heel at most (183.235, modified level "
        "183.335), and for the depth of its "
        "ends and with the load to one side, which are not computed.",
    )


def _row(state: FloatState) -> tuple[str, ...]:
    if not state.floats:
        return (state.name, state.water, units.mass(state.kg.nominal), "-", "sinks", *["-"] * 6)
    draft = (
        f"{units.length(state.draft_m.nominal)}, {1e3 * state.draft_m.low:.0f} to "
        + (f"{1e3 * state.draft_m.high:.0f} mm" if math.isfinite(state.draft_m.high) else "under")
    )  # fmt: skip
    return (
        state.name,
        state.water,
        units.mass(state.kg.nominal),
        units.volume(state.held_m3) if state.held_m3 > 0 else "-",
        draft,
        units.length(state.bow_m),
        units.length(state.stern_m),
        f"{angle(abs(state.trim_rad))} {'bow up' if state.trim_rad > 0 else 'bow down'}",
        angle(abs(state.heel_rad)),
        units.length(state.gm_m),
        "-" if math.isnan(state.freeboard_m) else units.length(state.freeboard_m),
    )


def _regulation(flotation: Flotation) -> Section:
    table = Rows(
        ("part", "weight", "above the swamped waterline", "factor below", "counts"),
        tuple(
            (
                weight.name,
                units.mass(weight.kg),
                units.share(round(weight.above, 3)),
                f"{weight.factor:.3f}",
                units.mass(weight.counts_kg),
            )
            for weight in flotation.weights
        ),
    )
    return Section(
        "Flotation asked for by 33 CFR 183, by the Boatbuilder's Handbook",
        (
            "Weights at the end that asks for more foam; foam at its densest and at its lowest yield.",
            f"boat itself under water {units.mass(flotation.structure_kg)}, motor and battery "
            f"{units.mass(flotation.propulsion_kg)}; a cubic metre of foam carries "
            f"{units.mass(flotation.lift_kg_m3)}",
            f"basic load: 2/15 of the persons, 1/4 of the dead weight, air chambers: "
            f"{units.mass(flotation.basic_load_kg)}; the Handbook's shorter rule, 1/4 of the maximum weight capacity "
            f"(read in a quotation): {units.mass(flotation.basic_alternative_kg)}. The larger counts",
            f"basic flotation asks for {units.volume(flotation.basic_m3)} of foam, level flotation for "
            f"{units.volume(flotation.level_m3)}; the cavity holds {units.volume(flotation.foam_m3.nominal)}, at the "
            f"lowest yield {units.volume(flotation.foam_m3.low)}",
            *check_lines(flotation.checks),
            *((MODIFIED,) if flotation.rule == "modified" else ()),
            f"Edition: {flotation.edition}",
            flotation.not_checked,
        ),
        table,
    )


def _chambers(flotation: Flotation, hollow: bool) -> Section:
    """Which chamber holds how much of the foam, and what is left without it."""
    title = "Foam by chamber"
    if not flotation.regions:
        if hollow:
            return Section(title, ("not known: it is worked out only for a piece that is filled solid",))
        return Section(title, ("not known: this plan does not hold its chambers; plan the piece again",))
    rows = tuple(
        (
            str(region.number),
            units.share(round(region.share, 3)),
            units.volume(region.foam_m3),
            units.mass(region.carries_kg),
            place(region.middle_m),
            ", ".join(f"{one.name} {DO[one.verdict(region.rest_m3)]}" for one in flotation.asked)
            if len(flotation.regions) > 1
            else "there are no others",
        )
        for region in flotation.regions
    )
    heads = ("chamber", "share", "foam", "carries", "its middle", "the others alone do for")
    lines = (
        "Foam at its lowest yield and at its densest; places as the boat stands. What a chamber carries it carries "
        "only as far as it is under water. Level flotation wants foam on both sides and at both ends of the persons' "
        "area, far out and high up (Boatbuilder's Handbook): the water line says whether this lies so.",
    )
    return Section(title, lines, Rows(heads, rows))


def _bears(rule: str, share: float) -> str:
    """What a boat bears of a loss, by the share at which the rule is just kept."""
    if math.isnan(share):
        return f"how much {rule} flotation bears is not known: no foam can be counted on at the lowest yield"
    if share < 0:
        return f"{rule} flotation is not kept even with dry foam"
    return f"{rule} flotation is kept until {units.share(round(share, 3))} of it is lost"


def _uptake(flotation: Flotation) -> Section:
    """What foam may lose to water."""
    own = flotation.allowance
    if math.isnan(own.share):
        counted = (
            "how much of its lift this foam loses to water over the years is NOT KNOWN, and none is counted: give "
            "boat.uptake, by the supplier's test of this foam as long as the boat is to last, and boat.uptake_reference"
        )
    else:
        where = own.reference or "no reference is given: boat.uptake_reference"
        counted = f"counted as lost to water: {units.share(own.share)} of the lift of the foam ({where})"
    bears = [
        _bears(rule, share)
        for rule, share in (("basic", own.basic_bears), ("level", own.level_bears))
        if flotation.rule in ("", rule) or (flotation.rule == "modified" and rule == "level")
    ]
    lines = (
        counted,
        *bears,
        "33 CFR 183.114 passes foam that has lost 5 % of its buoyancy after 30 days in what it is exposed to (read in "
        "a quotation): that is no figure for years",
    )
    return Section("Lift that the foam loses to water", lines)
