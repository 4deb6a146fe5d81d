"""What is said of likely ranges beside the worst case."""

from __future__ import annotations

import math

from pourwright import units
from pourwright.hanging import HangResult
from pourwright.outcome import Likely
from pourwright.wording.checks import force

HOW = (
    "Likely: 95 times of 100, equal chances beyond either end (JCGM 101:2008). Every cause is taken as even between "
    "its low and expected and between its expected and high, half the chance each, as only its ends are known (JCGM "
    "100:2008, 4.3.7), and each cause by itself; after a weighing as normal about what the scale told, within the "
    "same ends. The wall is one cause, the density of the skin one, that of all foam one. Loads of the job, factors "
    "and limits stand as given. The verdict is by the worst case, never by the likely range."
)


def likely_mass(value: Likely) -> str:
    """A likely weight.

    >>> likely_mass(Likely(9.0, 10.0, 11.0, 0.5))
    'likely 9.00 kg (19.8 lb) to 11.0 kg (24.3 lb)'
    """
    low, high = (units.mass(v) for v in (value.low, value.high))
    return f"likely {low} to {high}"


def likely_lines(result: HangResult) -> tuple[str, ...]:
    """Weight and use of a limit, worst case and likely, and what the spread comes from."""
    likely = result.likely
    kg = result.kg
    lines = [f"weight at worst {units.mass(kg.low)} to {units.mass(kg.high)}, {likely_mass(likely.kg)}"]
    what = "weight"
    if likely.utilisation is not None:
        what = "use of a limit"
        used = likely.utilisation
        lines.append(
            f"use of a limit in the governing case at worst {units.share(result.utilisation)}, "
            f"likely {units.share(used.low)} to {units.share(used.high)}"
        )
    if likely.shares:
        said = ", ".join(f"{name} {units.share(share)}" for name, share in likely.shares)
        lines.append(f"the spread of the likely {what} comes from (shares of its variance): {said}")
    return (*lines, HOW)


def wall_lines(result: HangResult) -> tuple[str, ...]:
    """The question about the wall, where its spread decides."""
    likely = result.likely
    if not likely.wall_decides:
        return ()
    return (
        f"THE WALL DECIDES: were it exactly as thick as expected, {units.share(likely.wall_known)} of a limit would be "
        f"used at worst, not {units.share(result.utilisation)}. Measure the wall where it can be reached and give "
        "wall.spread, or weigh the empty skin: pourwright record PLAN --weighed.",
    )


def likely_row(result: HangResult, name: str) -> tuple[str, str]:
    """Likely shear and pull of one anchor."""
    one = next((one for one in result.likely.anchors if one.name == name), None)
    if one is None:
        return "not known", "not known"
    return _forces(one.shear_n), "not known" if one.pull_n is None else _forces(one.pull_n)


def _forces(value: Likely) -> str:
    if not math.isfinite(value.high):
        return "not known"
    return f"{force(value.low)} to {force(value.high)}"
