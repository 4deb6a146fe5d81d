"""What an entry of ``pourwright record`` says, in options, answers or a phone's file; refused where it is wrong."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from pourwright.cli.record_readings import NAMES, check_cooling, readings_said
from pourwright.errors import UsageError
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.wording.rim import rim_of

if TYPE_CHECKING:
    from pourwright.document.model import PlanDocument
    from pourwright.document.model_lifts import PourDoc

TEXTS = (
    "part_a", "part_b", "both", "reached", "dip", "at", "parts", "air", "skin", "probe", "probe_later", "infrared",
    "note",
)  # fmt: skip
"""What is said of a pour in words."""
FLAGS = ("as_planned", "full", "top_up")
"""What is said of it with yes or no."""
_OF_AN_ENTRY = tuple(name for name in (*TEXTS, *FLAGS) if f"{name}_k" not in NAMES)
Said = Mapping[str, Any]


def said_of(**given: Any) -> dict[str, Any]:
    """All of `TEXTS` and `FLAGS`, what was not given as nothing said."""
    return {**dict.fromkeys(TEXTS), **dict.fromkeys(FLAGS, False), **given}


def anything_said(given: Said) -> bool:
    """Whether something is said of a pour."""
    return any(given[name] for name in (*TEXTS, *FLAGS))


def readings_only(document: PlanDocument, pour: str, given: Said) -> bool:
    """Whether a recorded pour is named with readings of its heat and nothing that makes an entry."""
    poured = any(p.poured for lift in document.lifts for p in lift.pours if p.name == pour)
    return poured and any(given[name.removesuffix("_k")] for name in NAMES) and not any(given[n] for n in _OF_AN_ENTRY)


def pours_of(document: PlanDocument) -> dict[str, PourDoc]:
    """Every pour of the sheet by its name, from the lowest lift up."""
    return {pour.name: pour for lift in document.lifts for pour in lift.pours}


def entry_said(document: PlanDocument, pour: str, given: Said) -> dict[str, Any]:
    """The entry's own values, SI; refuses what is missing."""
    found = pours_of(document)
    if pour not in found:
        raise UsageError(f"--pour {pour!r}: the sheet names {', '.join(found)}")
    planned = found[pour]
    if planned.poured and not given["top_up"]:
        raise UsageError(f"pour {pour} is recorded already: use --top-up for foam put in later, or --strike its entry")
    a_kg, b_kg = _weights(document, planned, given)
    height = _height(document, planned, given)
    temperatures = temperatures_said(given)
    if a_kg + b_kg <= 0:
        raise UsageError("nothing went in: there is nothing to record")
    parts_k, air_k = temperatures["parts_k"], temperatures["air_k"]
    readings = readings_said(given, document.foam.parts_c + ZERO_CELSIUS_K if parts_k is None else parts_k)
    check_cooling(readings, document.foam.air_c + ZERO_CELSIUS_K if air_k is None else air_k)
    if readings and given["top_up"]:
        raise UsageError("a reading belongs to the pour itself, not to its top-up")
    return {
        "kind": "top-up" if given["top_up"] else "pour",
        "part_a_kg": a_kg,
        "part_b_kg": b_kg,
        "reached_m": height,
        "full": bool(given["full"]),
        "at": text_of(given["at"])[:100],
        "note": text_of(given["note"])[:500],
        **temperatures,
        **readings,
    }


def stays_kg(planned: PourDoc) -> tuple[float, float]:
    """Of each part, what stays in the tubes of a pour: it is weighed and never in the piece [kg]."""
    share = sum(one.tube.left_kg for one in planned.landings if one.tube is not None)
    share /= planned.part_a_kg + planned.part_b_kg
    return share * planned.part_a_kg, share * planned.part_b_kg


def _weights(document: PlanDocument, planned: PourDoc, given: Said) -> tuple[float, float]:
    """What went in of each part [kg]: what was weighed, less what stays in the tubes."""
    stays = (0.0, 0.0) if given["top_up"] or given["as_planned"] or planned.poured else stays_kg(planned)
    sheet_kg = (planned.part_a_kg, planned.part_b_kg)
    weighed_kg = weighed_said(document, sheet_kg, given)
    if planned.one_cup and not given["as_planned"] and not given["top_up"]:
        weighed_kg = _out_of_one_cup(document, planned, weighed_kg)
    a_kg, b_kg = (kg - less for kg, less in zip(weighed_kg, stays, strict=True))
    if any(stays) and min(a_kg, b_kg) < 0.0:
        raise UsageError("no more was weighed than stays in the tube: nothing went in, there is nothing to record")
    return a_kg, b_kg


def to_weigh_kg(document: PlanDocument, planned: PourDoc) -> tuple[float, float]:
    """Weights that the sheet has of each part [kg]: of a pour, or of the one cup that it shares with others."""
    found = pours_of(document)
    a_kg = b_kg = 0.0
    for pour in (found[name] for name in planned.one_cup or [planned.name]):
        stays = stays_kg(pour)
        a_kg, b_kg = a_kg + pour.part_a_kg + stays[0], b_kg + pour.part_b_kg + stays[1]
    return a_kg, b_kg


def _out_of_one_cup(document: PlanDocument, planned: PourDoc, weighed_kg: tuple[float, float]) -> tuple[float, float]:
    """What is a pour's own of the weights of a cup that it shares [kg]: shared out as the sheet has it."""
    cup_kg, stays = sum(to_weigh_kg(document, planned)), sum(stays_kg(planned))
    share = (planned.part_a_kg + planned.part_b_kg + stays) / cup_kg
    return share * weighed_kg[0], share * weighed_kg[1]


def weighed_said(document: PlanDocument, planned_kg: tuple[float, float], given: Said) -> tuple[float, float]:
    """What was weighed of each part [kg]; one weight of both is shared out as the sheet has it."""
    ways = [bool(given.get("as_planned")), bool(given.get("both")), bool(given.get("part_a") or given.get("part_b"))]
    if sum(ways) > 1:
        raise UsageError("give either --as-planned, or --a and --b, or --both")
    if given.get("as_planned"):
        return planned_kg
    if given.get("both"):
        kg = amount("--both", given["both"], None)
        share = planned_kg[0] / sum(planned_kg)
        return kg * share, kg * (1.0 - share)
    if given.get("part_a") is None or given.get("part_b") is None:
        raise UsageError(
            "say what went in: --a and --b with their units, --both for one weight of the two, or --as-planned"
        )
    values = document.foam.values
    return (
        amount("--a", given["part_a"], values["part_a_density_kg_m3"].value),
        amount("--b", given["part_b"], values["part_b_density_kg_m3"].value),
    )


def _height(document: PlanDocument, planned: PourDoc, given: Said) -> float | None:
    """Where the foam ends above the base [m]; None where it was not read."""
    from pourwright import units

    if given["reached"] is not None and given["dip"] is not None:
        raise UsageError("give --dip, down from the rim, or --reached, up from the base, not both")
    if given["dip"] is not None:
        return _dipped(document, planned, given["dip"])
    if given["reached"] is None:
        if not given["full"] and not given["top_up"]:
            raise UsageError(
                'say how high it came: --dip "130 mm" down from the rim, --reached "412 mm" above the base, or --full'
            )
        return None
    height = quantity("--reached", given["reached"], units.LENGTH)
    if not 0 < height <= document.frame.size_m[2]:
        raise UsageError(
            f"--reached {given['reached']!r}: the piece is {units.length(document.frame.size_m[2])} high; measure from "
            "its base"
        )
    return height


def _dipped(document: PlanDocument, planned: PourDoc, said: str) -> float:
    """Height above the base [m] of foam that lies so far below the rim that the sheet names."""
    from pourwright import units

    dip = quantity("--dip", said, units.LENGTH)
    rim = rim_of(planned, document)
    if rim is None:
        raise UsageError(f'--dip {said!r}: the sheet has no rim above pour {planned.name}; give --reached "412 mm"')
    if not 0 <= dip < rim.height_m:
        raise UsageError(
            f"--dip {said!r}: the rim of {rim.name} is {units.length(rim.height_m)} above the base; measure from the "
            "rim straight down to the foam"
        )
    return rim.height_m - dip


def temperatures_said(given: Said) -> dict[str, float | None]:
    """Temperatures of liquids, air and skin [K] by the entry's names; refused where no shop is like that."""
    from pourwright import units

    found = {
        f"{name}_k": None if given[name] is None else quantity(f"--{name}", given[name], units.TEMPERATURE)
        for name in ("parts", "air", "skin")
    }
    for name, value in found.items():
        if value is not None and not 243.0 <= value <= 353.0:
            raise UsageError(f"--{name[:-2]} {given[name[:-2]]!r}: no shop is that cold or hot; give it with its unit")
    return found


def text_of(given: str | None) -> str:
    """What was typed; bytes that are no text as "?"."""
    return (given or "").encode("utf-8", "replace").decode()


def quantity(name: str, text: str, kind: Any) -> float:
    """A quantity in SI; refused by the name of its option."""
    from pourwright import units

    try:
        return units.read(text, kind)
    except units.QuantityError as error:
        raise UsageError(f"{name} {text!r}: {error}") from None


def amount(name: str, text: str, density_kg_m3: float | None) -> float:
    """A weight [kg], or a volume at the part's density."""
    from pourwright import units

    try:
        return units.read(text, units.MASS)
    except units.QuantityError as error:
        if name == "--both":
            raise UsageError(f"{name} {text!r}: {error}") from None
        volume = quantity(name, text, units.VOLUME)
    if density_kg_m3 is None:
        raise UsageError(f"{name} {text!r}: the plan does not know its density; give a weight")
    return volume * density_kg_m3
