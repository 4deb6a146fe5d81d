"""Parts of sentences about findings: temperatures, volumes, places and names, in SI units."""

from __future__ import annotations

import math

from pourwright.physics.constants import ZERO_CELSIUS_K

Names = tuple[str, ...]


def celsius(kelvin: float) -> str:
    """A temperature for a sentence."""
    return f"{kelvin - ZERO_CELSIUS_K:.0f} °C"


def litres(volume_m3: float) -> str:
    """A volume for a sentence.

    >>> litres(0.00123), litres(0.0)
    ('1.2 L', '0 L')
    """
    value = volume_m3 * 1e3
    if value <= 0:
        return "0 L"
    digits = max(0, 1 - math.floor(math.log10(value)))
    return f"{value:.{digits}f} L"


def listing(names: Names, most: int = 6) -> str:
    """Names in a sentence: a, b and c, or the first few and how many more.

    >>> listing(("1a", "1b", "2a"))
    '1a, 1b and 2a'
    """
    if len(names) > most:
        return f"{', '.join(names[:most])} and {len(names) - most} more"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def pours(names: Names) -> str:
    """Pours as the subject of a sentence."""
    return ("Pour " if len(names) == 1 else "Pours ") + listing(names)


def place(at_m: tuple[float, float, float]) -> str:
    """From the base, the left and the front [m]."""
    up, left, front = at_m
    return f"{up:.2f} m up, {left:.2f} m from the left, {front:.2f} m from the front"
