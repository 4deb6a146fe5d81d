"""What one way up costs in work against another: all our judgement, no published source."""

from __future__ import annotations

from dataclasses import replace

from pourwright.sources import Cited, Standing

LAST = Cited(1.0, "hour/hour", Standing.COMPUTED, note="hours from the first mix to the last pour, by the short search")
POUR = Cited(1 / 6, "hour", Standing.JUDGEMENT, note="one pour: setting up, mixing, cleaning; the job's day.pour_price")
POOL = Cited(0.5, "hour", Standing.JUDGEMENT, note="a pool beyond the first: a hole of its own to pour through")
VENT = Cited(0.5, "hour", Standing.JUDGEMENT, note="finding, drilling, watching and plugging one vent")
CLOSE = Cited(1.0, "hour", Standing.JUDGEMENT, note="closing an opening that does not look up, tight against foam")
CRADLE = Cited(1.5, "hour", Standing.JUDGEMENT, note="building a cradle for a piece that does not stand by itself")
BLOCKS = Cited(0.25, "hour", Standing.JUDGEMENT, note="setting a piece that stands by itself on measured blocks")
PRESSURE = Cited(0.02, "hour/kPa", Standing.JUDGEMENT, note="holding the skin against the peak pressure")
DEPTH = Cited(
    0.5, "hour", Standing.JUDGEMENT, note="all depth of extra pools and vented pockets over the piece's length"
)
HEIGHT = Cited(0.25, "hour/m", Standing.JUDGEMENT, note="height on the bench: reaching, lifting, holding")
STEADY_RAD = Cited(
    0.1745, "rad", Standing.JUDGEMENT, note="a piece that tips before 10 degrees is held while worked on"
)

TERMS = {
    "hours to the last pour": LAST,
    "pours": POUR,
    "pools beyond the first": POOL,
    "drilled vents": VENT,
    "openings to close": CLOSE,
    "cradle": CRADLE,
    "blocks under a tilt": BLOCKS,
    "peak pressure": PRESSURE,
    "depth of pools and pockets": DEPTH,
    "height on the bench": HEIGHT,
}
"""Name of each part of the work to its rate."""


def rates_of(price_s: float) -> dict[str, Cited]:
    """The same with what the job says that one pour is worth [s]."""
    return {**TERMS, "pours": replace(POUR, value=price_s / 3600.0)}
