"""Design factors of lifting and rigging practice as named choices: the tool quotes them, a person chooses."""

from __future__ import annotations

from pourwright.sources import Cited, Standing

_UNREAD = "quoted as a common figure; the standard itself was not read here: look it up before you rely on it"

FACTORS: dict[str, Cited] = {
    "lifting-device-a": Cited(
        2.0,
        "-",
        Standing.MEMORY,
        source="ASME BTH-1, design category A",
        note=f"predictable lifts in a known environment; {_UNREAD} (public texts disagree about which category is 2)",
    ),
    "lifting-device-b": Cited(
        3.0, "-", Standing.MEMORY, source="ASME BTH-1, design category B", note=f"unpredictable lifts; {_UNREAD}"
    ),
    "lifting-device-c": Cited(
        6.0, "-", Standing.MEMORY, source="ASME BTH-1, design category C", note=f"special lifts; {_UNREAD}"
    ),
    "alloy-chain": Cited(4.0, "-", Standing.MEMORY, source="ASME B30.9, alloy chain slings", note=_UNREAD),
    "rigging": Cited(
        5.0,
        "-",
        Standing.MEMORY,
        source="ASME B30.9, wire rope and webbing slings; 29 CFR 1926.251, shackles",
        note=_UNREAD,
    ),
}
"""Breaking load over working load, by name."""


def factor_names() -> tuple[str, ...]:
    """Names of the factors, in the order of the table."""
    return tuple(FACTORS)


def chosen_factor(name: str, value: float | None, reference: str) -> Cited | None:
    """The factor a job names: one of the table, one of its own with its reference, or none.

    >>> chosen_factor("rigging", None, "").value, chosen_factor("", 4.0, "engineer's letter").words()
    (5.0, "given in the job: engineer's letter")
    >>> chosen_factor("", None, "") is None
    True
    """
    if value is not None:
        return Cited(value, "-", Standing.JOB, source=reference)
    return FACTORS[name] if name else None
