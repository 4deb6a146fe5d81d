"""Which column of the stiffness counts, and why."""

from __future__ import annotations

from pourwright import units
from pourwright.structure import StiffnessResult


def small_length(value_m: float) -> str:
    """A movement, however small, in both systems.

    >>> small_length(0.0102), small_length(4.1e-4), small_length(2e-6)
    ('10.2 mm (0.402 in)', '0.41 mm (0.0161 in)', '2 µm (0.0787 thou)')
    """
    tiny = abs(value_m) < 1e-5
    other = units.converted(value_m, "meter", "thou" if tiny else "inch")
    return f"{value_m * 1e6:.3g} µm ({other:.3g} thou)" if tiny else f"{value_m * 1e3:.3g} mm ({other:.3g} in)"


def ratio(value: float) -> str:
    """Two decimals below ten, whole from ten on."""
    return f"{value:.2f}" if value < 10 else f"{value:.0f}"


def bond_words(result: StiffnessResult) -> str:
    """One sentence: which column counts and why, and what the other would make of it."""
    if result.bond > 0:
        return (
            f"Bonded counts: the foam sticks to this skin (bond {result.bond:.0%}), so skin and foam pull together in "
            "shear."
        )
    words = (
        "No bond counts: the foam does not stick to this skin, so it neither pulls nor takes shear; it only keeps "
        f"it from moving inwards, and that after the gap of up to {small_length(result.gap_m)} that cooling opens"
    )
    lost = max(result.gains, key=lambda gain: gain.times[1] / gain.times[2], default=None)
    if lost is not None and lost.times[1] > 1.1 * lost.times[2]:
        what = lost.name.rsplit(", ", 1)[0]
        bonded, counted = ratio(lost.times[1]), ratio(lost.times[2])
        words += f": under {what} {counted} times as stiff, where a bond would give {bonded}"
    return words + "."
