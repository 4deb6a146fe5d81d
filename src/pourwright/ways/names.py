"""What ways of filling a piece are called."""

from __future__ import annotations

import itertools

from pourwright.lining import Lining, Rules


def cores_words(rules: Rules) -> str:
    """What the cores of a way are called."""
    if rules.core is None:
        return "cores"
    kind = "blocks" if rules.core.kind == "blocks" else "bags"
    return f"cores: {kind} {' x '.join(f'{1e3 * one:.0f}' for one in rules.core.size_m)} mm, solid round them"


def lining_words(rules: Rules) -> str:
    """What a lining is called.

    >>> from pourwright.lining import PartRules
    >>> lining_words(Rules("lining", 0.03, parts=(PartRules("legs"), PartRules("neck"), PartRules("foot", 0.06))))
    'lining 30 mm, legs and neck solid, foot 60 mm'
    """
    thick = f"{1e3 * (rules.thickness_m or 0.0):.0f} mm"
    parts = ""
    for same, some in itertools.groupby(rules.parts, key=lambda one: one.thickness_m):
        names = [one.name for one in some]
        parts += f", {' and '.join([', '.join(names[:-1]), names[-1]] if len(names) > 1 else names)} "
        parts += "solid" if same is None else f"{1e3 * same:.0f} mm"
    if rules.by == "spreading":
        ups = max(len(rules.positions), 1)
        return f"spread {thick}{parts}, {ups} way{'s' if ups > 1 else ''} up"
    return f"lining {thick}{parts}" + ("" if rules.turning == "hand" else f", {rules.turning}")


def ups_of(lining: Lining) -> tuple[tuple[float, float, float], ...]:
    """Ways up that the coats of a lining are spread in, each once."""
    out: list[tuple[float, float, float]] = []
    for coat in lining.coats:
        up = tuple(round(float(x), 6) + 0.0 for x in coat.up)
        if up not in out:
            out.append(up)  # type: ignore[arg-type]
    return tuple(out)
