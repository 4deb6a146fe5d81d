"""Load cases of a hanging piece, each in balance by itself, and every check over all of them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourwright.hanging.hang_loads import Combined
from pourwright.hanging.hang_model import CaseForce, CombinedUse, LoadCase, OneGone
from pourwright.hanging.hang_solve import Hung, Situation, Way
from pourwright.hanging.rule import Rule
from pourwright.lifts import Check

BEARS, FREE = "the back bears on the wall", "nothing bears on the wall"


@dataclass(frozen=True, eq=False)
class Judged:
    """A situation checked against the rules. ``values`` (r, c) of each anchor: greatest over the ways, by corner."""

    situation: Situation
    combined: Combined
    names: tuple[str, ...]
    values: tuple[np.ndarray, ...]


def judge(made: Situation, combined: Combined, names: tuple[str, ...], rules: tuple[tuple[Rule, ...], ...]) -> Judged:
    """Values of every rule of every anchor at every corner; nan where the piece does not stay, or nothing is known."""
    values = []
    for k, mine in enumerate(rules):
        if not made.stays or k == made.gone:
            values.append(np.full((len(mine), 1), math.nan))
            continue
        values.append(np.max([_values(mine, made, way, k) for way in made.possible], axis=0))
    return Judged(made, combined, names, tuple(values))


def _values(rules: tuple[Rule, ...], made: Situation, way: Way, k: int) -> np.ndarray:
    """(r, c) of one anchor in one way."""
    assert made.shear_n is not None
    assert way.out_n is not None
    shear, out = np.linalg.norm(made.shear_n[:, k], axis=1), way.out_n[:, k]
    return np.array([np.broadcast_to(rule.value(shear, out), shear.shape) for rule in rules])


def anchor_checks(k: int, rules: tuple[Rule, ...], judged: list[Judged]) -> tuple[Check, ...]:
    """Checks of one anchor over all combinations: with all anchors, then with the one gone that is worst for it."""
    name = judged[0].names[k]
    whole = [one for one in judged if one.situation.gone is None]
    checks = []
    for r, rule in enumerate(rules):
        worst = max(whole, key=lambda one: _most(one, k, r))
        checks.append(rule.check(_named(f"{name}: {rule.name}", worst, ""), _greatest(worst, k, r)))
    others = [one for one in judged if one.situation.gone not in (None, k) and one.situation.stays]
    for r, rule in enumerate(rules if others else ()):
        if math.isnan(rule.limit):
            continue
        worst = max(others, key=lambda one: _most(one, k, r))
        lost = worst.names[worst.situation.gone or 0]
        checks.append(rule.check(_named(f"{name}: {rule.name}", worst, lost), _greatest(worst, k, r)))
    return tuple(checks)


def _named(name: str, judged: Judged, lost: str) -> str:
    name = f"{name}, without {lost}" if lost else name
    return f"{name}, under {judged.combined.name}" if judged.combined.name else name


def _greatest(judged: Judged, k: int, r: int) -> float:
    return float(judged.values[k][r].max())


def _most(judged: Judged, k: int, r: int) -> float:
    value = _greatest(judged, k, r)
    return -1.0 if math.isnan(value) else value


def load_cases(judged: Judged, hung: Hung, rules: tuple[tuple[Rule, ...], ...]) -> tuple[LoadCase, ...]:
    """A case for each way of holding, all at the corner of the weights that is worst in this situation."""
    made = judged.situation
    corner = _corner(judged, rules) if made.stays else int(hung.masses.sum(axis=1).argmax())
    head = "all anchors" if made.gone is None else f"without {judged.names[made.gone]}"
    head = f"{judged.combined.name}: {head}" if judged.combined.name else head
    return tuple(
        _case(f"{head}; {BEARS if way.bears else FREE}", way, corner, judged, hung, rules) for way in made.ways
    )


def _corner(judged: Judged, rules: tuple[tuple[Rule, ...], ...]) -> int:
    used = [
        row / rule.limit
        for mine, values in zip(rules, judged.values, strict=True)
        for rule, row in zip(mine, values, strict=True)
        if not math.isnan(rule.limit) and not np.isnan(row).any()
    ]
    if used:
        return int(np.max(used, axis=0).argmax())
    made = judged.situation
    assert made.shear_n is not None
    sizes = [np.linalg.norm(made.shear_n, axis=2) + np.abs(way.out_n) for way in made.possible if way.out_n is not None]
    return int(np.max(sizes, axis=(0, 2)).argmax())


def _case(
    name: str, way: Way, corner: int, judged: Judged, hung: Hung, rules: tuple[tuple[Rule, ...], ...]
) -> LoadCase:
    made = judged.situation
    kg = float(hung.masses[corner].sum())
    forces = tuple(CaseForce(one.name, one.at_m[corner], one.force_n[corner]) for one in judged.combined.applied)
    under = judged.combined.name
    gone = "" if made.gone is None else judged.names[made.gone]
    moment = np.sum([np.cross(one.at_m, one.force_n) for one in forces], axis=0)
    why = way.why if made.shear_n is not None else "the piece would swing"
    if way.out_n is None or made.shear_n is None:
        return LoadCase(name, under, gone, way.bears, kg, forces, moment, (), math.nan, "", why)
    places = np.column_stack([hung.anchors[:, :2], np.zeros(len(hung.anchors))])
    # What the wall and the anchors do to the piece is against what the piece does to them.
    reactions = [
        CaseForce(judged.names[k], places[k], np.array([*-made.shear_n[corner, k], -way.out_n[corner, k]]))
        for k in range(len(places))
        if k != made.gone
    ]
    if way.wall is not None and way.wall[corner, 0] > 0:
        push, x, y = (float(value) for value in way.wall[corner])
        reactions.append(CaseForce("wall", np.array([x, y, 0.0]), np.array([0.0, 0.0, push])))
    used, worst = _used(made, way, corner, judged.names, rules)
    return LoadCase(name, under, gone, way.bears, kg, forces, moment, tuple(reactions), used, worst, "")


def _used(
    made: Situation, way: Way, corner: int, names: tuple[str, ...], rules: tuple[tuple[Rule, ...], ...]
) -> tuple[float, str]:
    """Greatest share of a limit in one case, and the check behind it."""
    best, worst = math.nan, ""
    for k, mine in enumerate(rules):
        if k == made.gone:
            continue
        values = _values(mine, made, way, k)[:, corner]
        for rule, value in zip(mine, values, strict=True):
            used = float(value) / rule.limit
            if used > best or (math.isnan(best) and not math.isnan(used)):
                best, worst = used, f"{names[k]}: {rule.name}"
    return best, worst


def use_of(combined: Combined, judged: list[Judged], cases: list[LoadCase]) -> CombinedUse:
    """How much of a limit one combination uses, with all anchors there or any one of them gone."""
    known = [case for case in cases if not math.isnan(case.utilisation)]
    worst = max(known, key=lambda case: case.utilisation, default=None)
    words = "" if worst is None else f"{worst.worst}, without {worst.gone}" if worst.gone else worst.worst
    return CombinedUse(
        combined.name or "weight alone",
        tuple((one.name, float(np.linalg.norm(one.force_n, axis=1).max())) for one in combined.applied),
        combined.reference,
        math.nan if worst is None else worst.utilisation,
        words,
        all(one.situation.stays for one in judged),
    )


def lost_words(judged: list[Judged]) -> tuple[str, ...]:
    """Combinations of loads, with all anchors or one gone, in which the piece does not stay; weight alone left out."""
    out = []
    for one in judged:
        if not one.combined.name or one.situation.stays:
            continue
        gone = one.situation.gone
        if gone is None:
            out.append(f"{one.combined.name}: not in balance")
        else:
            left = [name for k, name in enumerate(one.names) if k != gone]
            out.append(f"{one.combined.name}: without {one.names[gone]} the piece {_leaving(one.situation, left)}")
    return tuple(out)


def one_gone(judged: Judged, whole: Situation) -> OneGone:
    """What becomes of the piece without one anchor; each way of holding is compared with itself."""
    made, names = judged.situation, judged.names
    gone = made.gone
    assert gone is not None
    left = [k for k in range(len(names)) if k != gone]
    if not made.stays:
        words = f"Without {names[gone]} the piece {_leaving(made, [names[k] for k in left])}."
        return OneGone(names[gone], False, "", math.inf, math.inf, math.inf, words)
    assert made.shear_n is not None
    shears = np.linalg.norm(made.shear_n, axis=2).max(axis=0)
    pulls = np.max([np.maximum(way.out_n, 0.0).max(axis=0) for way in made.possible if way.out_n is not None], axis=0)
    worst = int(np.argmax(shears + pulls))
    shares, lines = [], []
    for before, after in zip(whole.ways, made.ways, strict=True):
        how = BEARS if after.bears else FREE
        if after.out_n is None:
            lines.append(f"{how}: impossible, {after.why}")
            continue
        now = _sizes(made, after)
        if before.out_n is None or whole.shear_n is None:
            lines.append(f"{how}: possible only now")
            continue
        then = _sizes(whole, before)
        grown = max(left, key=lambda k: now[k] - then[k])
        shares.append(float(now[grown] / max(then[grown], 1e-12)))
        lines.append(f"{how}: {names[grown]} then carries {shares[-1]:.2f} times its load")
    words = f"Without {names[gone]} the rest stay in balance. If {'; if '.join(lines)}."
    if len(left) == 1:
        words += " Nothing but one anchor is then left."
    share = max(shares, default=math.nan)
    return OneGone(names[gone], True, names[worst], float(shears[worst]), float(pulls[worst]), share, words)


def _sizes(made: Situation, way: Way) -> np.ndarray:
    """Greatest load (n,) of every anchor over the corners, shear and what is out of the wall as one force."""
    assert made.shear_n is not None
    assert way.out_n is not None
    return np.asarray(np.sqrt((made.shear_n**2).sum(axis=2) + way.out_n**2).max(axis=0))


def _leaving(made: Situation, left: list[str]) -> str:
    if not left:
        return "falls: it was the only anchor"
    if made.shear_n is None:
        return f"swings about {left[0]}" if len(left) == 1 else "swings: the rest are in one place"
    return "turns, out of the wall or against it: the rest cannot keep it where it is"
