"""The words of the page about a hanging piece: verdict, anchors, load cases, checks."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from pourwright import units
from pourwright.answers.page import Page, Rows, Section
from pourwright.hanging import CaseForce, HangResult, LoadCase
from pourwright.outcome import Piece
from pourwright.wording.checks import HIGH, angle, check_line, factor_line, force, force_range, mass_range, place
from pourwright.wording.findings import sentences
from pourwright.wording.hang import (
    OUTSIDE,
    named_checks,
    nothing_n,
    unchecked_lines,
    verdict_lines,
    worst_gone,
    worst_loaded,
)
from pourwright.wording.likely import likely_lines, likely_row, wall_lines

MOST_ANCHORS = 6
"""With more anchors only the case without the one whose failure uses most of a limit is printed in full."""


def hang_page(piece: Piece, result: HangResult, made: str) -> Page:
    """Anchor loads for the engineer."""
    sections = (
        Section("Verdict", (*verdict_lines(result), *wall_lines(result))),
        Section("Load", _load_lines(piece, result)),
        Section(
            "Anchors: the largest of every case, not one state in balance",
            _anchor_lines(piece, result),
            _anchors(result),
        ),
        Section("Likely range beside the worst case, weight alone", likely_lines(result), _likely(result)),
        Section("Along each rod", (*_ROD, *(_HOLLOW if piece.foam.hollow_m3 > 0.0 else ())), _along(result)),
        *(case_section(k, case) for k, case in enumerate(shown_cases(result), 1)),
        *_combinations(result),
        Section("One anchor gone", tuple(gone.words for gone in result.one_gone)),
        Section("Checks", _check_lines(result)),
        Section("Areas for the wind", (_AREAS,), _areas(result)),
    )
    return Page(piece.name, piece.place, "loads on the wall anchors", sections, sentences(result.warnings), made)


# Verdict -------------------------------------------------------------------------------------------------------------


def _check_lines(result: HangResult) -> tuple[str, ...]:
    """Every check that was made and loads its anchor, then each source once."""
    known = [(rule, check) for rule, check in named_checks(result) if check.verdict != "unknown"]
    behind: dict[str, dict[str, None]] = {}
    for rule, check in known:
        behind.setdefault(check.source, {})[rule] = None
    sources = [f"source of {', '.join(rules)}: {source}" for source, rules in behind.items()]
    lines = [check_line(check) for _, check in known if check.value > 0]
    if len(lines) < len(known):
        lines.append("Where an anchor is not loaded in a way, its check is left out here.")
    return (factor_line(result.factor), *lines, *sources, *unchecked_lines(result), OUTSIDE)


# Load and anchors ----------------------------------------------------------------------------------------------------


def _load_lines(piece: Piece, result: HangResult) -> tuple[str, ...]:
    asked = piece.site.hang
    assert asked is not None
    wall = "upright"
    if abs(result.tilt_rad) >= 1e-3:
        wall = f"{'leaning back' if result.tilt_rad > 0 else 'overhanging'} {angle(abs(result.tilt_rad))}"
    bearing = "nothing bears on the wall: the piece stands off it"
    if result.pivot_m is not None:
        bearing = f"the back can bear on the wall from {units.tape(result.pivot_m)} up"
        if result.bearing_n is not None:
            bearing += f", and the wall then pushes with {force_range(result.bearing_n)}"
    return (
        f"weight {mass_range(result.kg)}; as a force {force_range(result.weight_n)}",
        f"centre of mass {units.tape(result.standoff_m)} off the wall; {place(result.centre_m)} "
        "(facing the wall, from the extents of the hanging piece)",
        f"wall {wall}; gap between wall and piece {units.length(asked.standoff_m)}; {bearing}",
    )


def _anchors(result: HangResult) -> Rows:
    heads = ("anchor", "from the left", "up", "shear", "pull", "push", "one gone: shear", "one gone: pull")
    rows = tuple(
        (
            load.name,
            units.tape(float(load.place_m[0])),
            units.tape(float(load.place_m[2])),
            force(load.most_shear_n),
            "not known" if load.pull_n is None else force(load.most_pull_n),
            force(load.most_push_n),
            _gone(load.one_gone_shear_n),
            _gone(load.one_gone_pull_n),
        )
        for load in result.anchors
    )
    return Rows(heads, rows)


def _likely(result: HangResult) -> Rows:
    heads = ("anchor", "shear at worst", "likely shear", "pull at worst", "likely pull")
    rows = tuple(
        (
            load.name,
            f"{force(load.shear_n.low)} to {force(load.shear_n.high)}",
            likely_row(result, load.name)[0],
            "not known" if load.pull_n is None else f"{force(load.pull_n.low)} to {force(load.pull_n.high)}",
            likely_row(result, load.name)[1],
        )
        for load in result.anchors
    )
    return Rows(heads, rows)


_ROD = (
    "Gap: from the wall to the skin, or to the edge of the opening, along the rod. Free: to the foam. Foam: along the "
    "rod up to the skin on the far side, so the longest insert that fits. Beside: from the rod to the outside of the "
    "piece, half way along the insert (along the foam without one).",
)


_HOLLOW = (
    "This piece is NOT SOLID: foam above is the room between its skins, foam and hollow together. How much of it is "
    "foam is in the plan; an insert has to end in foam.",
)


def _along(result: HangResult) -> Rows:
    heads = ("anchor", "gap", "free", "foam", "beside", "next anchor", "goes in by")
    rows = tuple(
        (
            load.name,
            *(_length(value) for value in (load.gap_m, load.arm_m, load.foam_depth_m, load.edge_m, load.neighbour_m)),
            "an opening" if load.opening else "the skin",
        )
        for load in result.anchors
    )
    return Rows(heads, rows)


def _length(value_m: float) -> str:
    return units.tape(value_m) if math.isfinite(value_m) else "none" if math.isinf(value_m) else "not known"


def _combinations(result: HangResult) -> tuple[Section, ...]:
    """Loads that act together and how much of a limit each uses; nothing where only the weight acts."""
    if len(result.combinations) < 2:
        return ()
    rows = tuple(
        (
            one.name,
            "unknown" if math.isnan(one.utilisation) else units.share(one.utilisation),
            one.worst or "nothing was checked against a limit",
            "yes" if one.stays else "NO",
        )
        for one in result.combinations
    )
    behind = dict.fromkeys(one.reference or "no reference given" for one in result.combinations[1:])
    lines = (f"governing: {result.governing or 'none'}", *(f"factors: {words}" for words in behind))
    return (Section("Combinations of loads", lines, Rows(("combination", "of a limit", "by", "stays"), rows)),)


def _gone(value_n: float) -> str:
    return force(value_n) if math.isfinite(value_n) else "it falls or swings"


def _anchor_lines(piece: Piece, result: HangResult) -> tuple[str, ...]:
    whole = {case.bears: case for case in result.cases if not case.gone}
    lines = [
        HIGH,
        "Shear by the elastic vector method: rigid body, each anchor by its stiffness "
        f"({', '.join(f'{a.name} {a.stiffness:g}' for a in piece.site.anchors)}).",
        "Out of the wall two ways, each in balance by itself: nothing bears on the wall, and the anchors pull and push "
        "alike (elastic); or the back bears where it touches the wall, which only pushes, and the anchors only pull "
        "(least energy).",
        *(f"Impossible: {case.name}: {case.impossible}." for case in whole.values() if case.impossible),
    ]
    for load in result.anchors:
        ways = [("nothing bears", load.alone_n), ("the back bears", load.backed_n)]
        said = "; ".join(f"{how} {force_range(value)}" for how, value in ways if value is not None)
        if said:
            lines.append(f"{load.name}, pull (below nothing: push): {said}; shear points {_way(load.shear_way)}")
    return tuple(lines)


def _way(way: np.ndarray) -> str:
    x, y = (float(v) for v in way)
    return f"{angle(math.atan2(x, -y))} from straight down, {'right' if x > 0 else 'left'}"


# Load cases ----------------------------------------------------------------------------------------------------------


def shown_cases(result: HangResult) -> list[LoadCase]:
    """The weight alone (with many anchors only without the one whose failure is worst), then the worst of each load."""
    alone = [case for case in result.cases if not case.combination]
    worst = worst_gone(replace(result, cases=tuple(alone)))
    lost = "" if worst is None else worst.gone
    if len(result.anchors) > MOST_ANCHORS or len(result.combinations) > 1:
        alone = [case for case in alone if not case.gone or case.gone == lost]
    return [*alone, *worst_loaded(result)]


def case_section(number: int, case: LoadCase) -> Section:
    """A load case as a free body."""
    title = f"Load case {number}: {case.name}"
    if case.impossible:
        return Section(title, (f"IMPOSSIBLE: {case.impossible}.",))
    lines = [f"Forces on the piece, which sum to nothing, and so do their moments; weight {units.mass(case.kg)}."]
    if not math.isnan(case.utilisation):
        lines.append(f"Most used: {units.share(case.utilisation)} of a limit, {case.worst}.")
    heads = ("force on the piece", "from the left", "up", "off the wall", "to the right", "upwards", "out of the wall")
    least = nothing_n(case)
    rows = tuple(_row(one, least) for one in (*case.forces, *case.reactions))
    return Section(title, tuple(lines), Rows(heads, rows))


def _row(one: CaseForce, least_n: float) -> tuple[str, ...]:
    return (one.name, *(units.tape(float(v)) for v in one.at_m), *(component(float(v), least_n) for v in one.force_n))


def component(value_n: float, least_n: float) -> str:
    """A component of a force.

    >>> component(-0.086, 0.28), component(-121.4, 0.28)
    ('0 N', '-121 N (-27.3 lbf)')
    """
    return "0 N" if abs(value_n) < least_n else force(value_n)


# Wind ----------------------------------------------------------------------------------------------------------------

_AREAS = (
    "Outlines of the hanging piece, exact on its triangles; pressures and factors are the engineer's. Only loads that "
    "the job gives are in the cases above."
)


def _areas(result: HangResult) -> Rows:
    said = ("from the left; up", "from the front; up", "from the left; from the front")
    return Rows(
        ("seen from", "area", "centroid across", "centroid along", "measured"),
        tuple(
            (view.name, units.area(view.area_m2), units.tape(view.across_m), units.tape(view.along_m), measured)
            for view, measured in zip(result.views, said, strict=True)
        ),
    )
