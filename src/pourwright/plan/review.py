"""A last look over the whole plan: checks that belong to no single pour, and the warnings in one list."""

from __future__ import annotations

from pourwright.cavity import Cavity, LevelGraph
from pourwright.foam import FoamAtShop
from pourwright.lifts import Check, LiftPlan
from pourwright.outcome import Outcome
from pourwright.plan.model import Job
from pourwright.shell import Skin


def whole_checks(skin: Skin, foam: FoamAtShop, lift_plan: LiftPlan) -> tuple[Check, ...]:
    """Checks of the piece as a whole: the skin's heat limit is not computed here, and says so."""
    skin_heat = Check(
        name="skin temperature",
        value=float("nan"),
        limit=skin.material.heat_limit_k,
        unit="K",
        verdict="unknown",
        source=_words(skin, "heat_limit_k"),
        remedy="hold a thermometer to the outside of the skin during the first lift and stop if it nears the limit",
    )
    return (skin_heat,)


def whole_warnings(
    job: Job,
    skin: Skin,
    cavity: Cavity,
    graph: LevelGraph,
    foam: FoamAtShop,
    lift_plan: LiftPlan,
    outcome: Outcome,
) -> tuple[str, ...]:
    """Every warning of every stage, in the order of the work, each once."""
    lines = [f.words for f in skin.findings if f.severity == "warning"]
    if cavity.volume_uncertainty_m3 > 0.05 * cavity.volume_m3:
        share = cavity.volume_uncertainty_m3 / cavity.volume_m3
        lines.append(
            f"The cavity is known to {share:.0%} only: measure the wall in several places, or give a smaller cell."
        )
    lines += foam.notes
    lines += lift_plan.warnings
    if lift_plan.unreached_m3 > 0.001 * cavity.volume_m3:
        share = lift_plan.unreached_m3 / cavity.volume_m3
        lines.append(f"{share:.1%} of the cavity cannot be reached straight from above through any port.")
    return tuple(dict.fromkeys(lines))


def _words(skin: Skin, name: str) -> str:
    cited = skin.material.cited.get(name)
    return cited.words() if cited is not None else "unknown"
