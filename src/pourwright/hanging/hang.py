"""A piece on its wall: what each anchor carries, whether it may, and what happens when one lets go."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from pourwright.errors import UsageError
from pourwright.hanging.hang_cases import Judged, anchor_checks, judge, load_cases, lost_words, one_gone, use_of
from pourwright.hanging.hang_checks import anchor_rules
from pourwright.hanging.hang_loads import Combined
from pourwright.hanging.hang_model import AnchorLoad, HangResult, LoadCase
from pourwright.hanging.hang_setup import SetUp, loads_on, set_up
from pourwright.hanging.hang_solve import Hung, Situation, situation
from pourwright.hanging.hang_warnings import hang_warnings
from pourwright.hanging.hung import Asked, likely_hang
from pourwright.hanging.pose import hung_anchors
from pourwright.hanging.rule import Rule
from pourwright.hanging.traced import Traced, traced_anchors
from pourwright.outcome import (
    GRAVITY,
    Anchor,
    Hang,
    LikelyHang,
    Piece,
    Silhouette,
    Surface,
    chosen_factor,
    not_known,
    over,
    refusals,
    six_views,
    unknowns,
)
from pourwright.ranges import Range


@dataclass(frozen=True, eq=False)
class _Set:
    """The piece against its wall, on its anchors."""

    against: SetUp
    hung: Hung
    traced: tuple[Traced, ...]


def hang(piece: Piece, surface: Surface, views: tuple[Silhouette, ...] = ()) -> HangResult:
    """Anchor loads of a finished piece on its wall.

    Low and high are the least and greatest over every corner of what is not known of the weights; an anchor is held
    to the high. The wall is a plane that the piece touches, or stands off by the job's gap; an anchor off that plane is
    taken where its line meets it. Every check runs with all anchors there, and again with each of them gone.

    Parameters
    ----------
    piece : Piece
        With ``site.hang`` and at least one anchor.
    surface : Surface
    views : tuple of Silhouette
        Its outlines as it hangs, where they are known already.

    Returns
    -------
    HangResult

    Raises
    ------
    UsageError
        The job names no anchor, or does not say how the piece hangs.
    AnchorError
        An anchor misses the piece, or its insert is longer than the foam behind it.
    """
    asked = piece.site.hang
    if asked is None or not piece.site.anchors:
        raise UsageError(
            "the job names no anchors: give [hang] with out and up, and one [[anchor]] or more, in the job or by --job"
        )
    made = _set_up(piece, surface, asked)
    factor = chosen_factor("", asked.factor_value, asked.factor_reference)
    anchors = piece.site.anchors
    rules = tuple(
        anchor_rules(anchor, piece, factor, traced) for anchor, traced in zip(anchors, made.traced, strict=True)
    )
    against = made.against
    views = views or six_views(against.frame.to_standing(surface.vertices_m), surface.faces)
    loads = loads_on(piece, against, views)
    judged = [_judged(made, one, anchors, rules) for one in loads]
    cases = [[case for one in group for case in load_cases(one, made.hung, rules)] for group in judged]
    every = [one for group in judged for one in group]
    whole, gone = judged[0][0], judged[0][1:]
    worst = _governing([case for group in cases for case in group])
    total = made.hung.masses.sum(axis=1)
    kg = Range.of_rows(total)
    centres = against.to_frame(against.centres_m)
    backed = [way.wall for way in whole.situation.possible if way.wall is not None]
    result = HangResult(
        frame=made.against.frame,
        kg=kg,
        weight_n=kg * GRAVITY,
        centre_m=centres[0],
        centre_low_m=centres.min(axis=0),
        centre_high_m=centres.max(axis=0),
        tilt_rad=made.against.pose.tilt_rad,
        wall_at_m=float(made.against.shift[2]),
        standoff_m=float(made.against.centres_m[0, 2]),
        pivot_m=made.against.pivot,
        bearing_n=Range.of_rows(backed[0][:, 0]) if backed else None,
        anchors=_loads(made, whole, every, rules),
        one_gone=tuple(one_gone(one, whole.situation) for one in gone),
        lost=lost_words(every),
        combinations=tuple(use_of(*each) for each in zip(loads, judged, cases, strict=True)),
        cases=tuple(case for group in cases for case in group),
        governing="" if worst is None else worst.name,
        utilisation=math.nan if worst is None else worst.utilisation,
        views=views,
        factor=factor,
        likely=_likely(piece, made, rules, views, worst),
        in_balance=whole.situation.stays,
        warnings=(),
    )
    shear = whole.situation.shear_n
    return replace(result, warnings=hang_warnings(piece, result, made.against.centres_m, made.hung.anchors, shear))


def _judged(
    made: _Set, one: Combined, anchors: tuple[Anchor, ...], rules: tuple[tuple[Rule, ...], ...]
) -> list[Judged]:
    """One combination of loads with all anchors, and with each gone."""
    names = tuple(anchor.name for anchor in anchors)
    ways = [None, *range(len(anchors))]
    return [judge(situation(made.hung, one.wrench, k), one, names, rules) for k in ways]


def _likely(
    piece: Piece,
    made: _Set,
    rules: tuple[tuple[Rule, ...], ...],
    views: tuple[Silhouette, ...],
    worst: LoadCase | None,
) -> LikelyHang:
    names = tuple(anchor.name for anchor in piece.site.anchors)
    asked = Asked(piece, made.against, made.hung, names, rules, lambda against: loads_on(piece, against, views))
    return likely_hang(asked, worst)


def _governing(cases: list[LoadCase]) -> LoadCase | None:
    known = [case for case in cases if not math.isnan(case.utilisation)]
    return max(known, key=lambda case: case.utilisation, default=None)


def _loads(
    made: _Set, whole: Judged, every: list[Judged], rules: tuple[tuple[Rule, ...], ...]
) -> tuple[AnchorLoad, ...]:
    now = whole.situation
    alone, backed = (next((w.out_n for w in now.ways if w.bears is bears), None) for bears in (False, True))
    known = [out for out in (alone, backed) if out is not None]
    pull = np.maximum(np.max(known, axis=0), 0.0) if known else None
    # A single anchor beside the weight has no pattern to speak of: the weight is all there is.
    bare = np.abs(whole.combined.wrench[:, 1])
    rows = []
    for k, name in enumerate(whole.names):
        sizes = bare if now.shear_n is None else np.linalg.norm(now.shear_n[:, k], axis=1)
        way = np.array([0.0, -1.0]) if now.shear_n is None else now.shear_n[0, k] / max(sizes[0], 1e-12)
        lost_shear, lost_pull = _without(k, every)
        shear, pulled, pushed = _most(k, [one.situation for one in every if one.situation.gone is None])
        traced = made.traced[k]
        rows.append(
            AnchorLoad(
                name=name,
                gap_m=traced.gap_m,
                arm_m=traced.arm_m,
                foam_depth_m=traced.foam_depth_m,
                edge_m=traced.edge_m,
                neighbour_m=traced.neighbour_m,
                opening=traced.opening,
                place_m=made.against.to_frame(made.hung.anchors[k]),
                on_wall_m=made.hung.anchors[k, :2].copy(),
                shear_n=Range.of_rows(sizes),
                shear_way=way,
                alone_n=None if alone is None else Range.of_rows(alone[:, k]),
                backed_n=None if backed is None else Range.of_rows(backed[:, k]),
                pull_n=None if pull is None else Range.of_rows(pull[:, k]),
                push_n=0.0 if alone is None else float(np.maximum(-alone[:, k], 0.0).max()),
                most_shear_n=shear,
                most_pull_n=pulled,
                most_push_n=pushed,
                one_gone_shear_n=lost_shear,
                one_gone_pull_n=lost_pull,
                checks=anchor_checks(k, rules[k], every),
            )
        )
    return tuple(rows)


def _without(k: int, every: list[Judged]) -> tuple[float, float]:
    """Greatest shear and pull of an anchor with another one gone; infinite where the piece then does not stay."""
    others = [one.situation for one in every if one.situation.gone not in (None, k)]
    if not others or not all(other.stays for other in others):
        return math.inf, math.inf
    shear, pull, _ = _most(k, others)
    return shear, pull


def _most(k: int, situations: list[Situation]) -> tuple[float, float, float]:
    """Greatest shear, pull and push of an anchor over situations in which the piece stays."""
    stay = [one for one in situations if one.stays]
    out = [way.out_n[:, k] for one in stay for way in one.possible if way.out_n is not None]
    shear = max(
        (float(np.linalg.norm(one.shear_n[:, k], axis=1).max()) for one in stay if one.shear_n is not None), default=0.0
    )
    return (
        shear,
        max((float(np.maximum(one, 0.0).max()) for one in out), default=0.0),
        max((float(np.maximum(-one, 0.0).max()) for one in out), default=0.0),
    )


def _set_up(piece: Piece, surface: Surface, asked: Hang) -> _Set:
    against, anchors = set_up(piece, surface, asked), piece.site.anchors
    places = against.to_wall(hung_anchors(anchors, against.pose))
    hung = against.hung(places, np.array([anchor.stiffness for anchor in anchors]))
    return _Set(against, hung, traced_anchors(against.solid, anchors, places))


@refusals.register
def _refused(result: HangResult) -> tuple[str, ...]:
    checks = [check for load in result.anchors for check in load.checks]
    lost = [gone.words.removesuffix(".") for gone in result.one_gone if not gone.stays]
    return (*(() if result.in_balance else ("not in balance",)), *over(checks), *lost, *result.lost)


@unknowns.register
def _unknown(result: HangResult) -> tuple[str, ...]:
    return not_known(check for load in result.anchors for check in load.checks)
