"""Load combinations by name: the tool quotes them from memory of their standard, a person chooses and looks them up."""

from __future__ import annotations

from dataclasses import dataclass

_UNREAD = (
    "quoted from memory, the standard was not read here: look it up, with its national values, before you rely on it"
)


@dataclass(frozen=True, slots=True)
class LoadSet:
    """Factors on the weight and on variable loads. Shares of what accompanies are by kind of load."""

    name: str
    reference: str
    alone: tuple[float, ...]  # factors of the weight with nothing beside it
    weight: tuple[float, ...]  # factors of the weight with other loads: where it hurts, where it helps
    leading: dict[str, float]  # by kind
    beside: dict[str, float]  # factor of what accompanies another load, by kind

    def of(self, kinds: list[str]) -> list[tuple[float, tuple[float, ...]]]:
        """Factors of the weight and of each load, for loads of these kinds together."""
        if not kinds:
            return [(weight, ()) for weight in self.alone]
        out = []
        for lead, kind in enumerate(kinds):
            quakes = kind == "earthquake"
            if not quakes and "earthquake" in kinds:
                continue  # an earthquake leads, or is not there
            factors = tuple(
                self.leading[k] if n == lead else (0.2 if k in ("snow", "ice") else 0.0) if quakes else self.beside[k]
                for n, k in enumerate(kinds)
            )
            weights = (1.0,) if quakes and self.name == "en-1990" else self.weight
            out += [(weight, factors) for weight in weights]
        return out


SETS = {
    "en-1990": LoadSet(
        "en-1990",
        f"EN 1990, expression 6.10 and the seismic one, recommended values ({_UNREAD})",
        (1.35,),
        (1.35, 1.0),
        {"wind": 1.5, "snow": 1.5, "ice": 1.5, "water": 1.5, "person": 1.5, "handling": 1.5, "other": 1.5}
        | {"earthquake": 1.0},
        {"wind": 0.9, "snow": 0.75, "ice": 0.75, "water": 1.5, "person": 1.05, "handling": 1.5, "other": 1.5},
    ),
    "asce-7": LoadSet(
        "asce-7",
        f"ASCE/SEI 7, combinations for strength, wind and earthquake of the strength level ({_UNREAD})",
        (1.4,),
        (1.2, 0.9),
        {"wind": 1.0, "snow": 1.6, "ice": 1.6, "water": 1.6, "person": 1.6, "handling": 1.6, "other": 1.6}
        | {"earthquake": 1.0},
        {"wind": 0.5, "snow": 0.5, "ice": 0.5, "water": 1.0, "person": 1.0, "handling": 1.0, "other": 1.0},
    ),
}
"""Named sets."""


def set_names() -> tuple[str, ...]:
    """Names of the sets."""
    return tuple(SETS)
