"""The tests of flotation on the water as a list to work through: what to hang, where, and the water line to see."""

from __future__ import annotations

from pourwright import units
from pourwright.answers.page import Rows, Section
from pourwright.outcome import STEEL_DENSITY, Boat
from pourwright.physics.buoyancy import dry_weight
from pourwright.water import FloatResult, FloatState, heels_too_far, swamped_loads
from pourwright.wording.checks import angle, place

RULES = {
    "basic test load": "183.105: 18 h under water first; some part stays above it, at any attitude",
    "level test load": "no rule of it is checked here beyond heel: the weights' places are in 183.220 and on",
    "level test load without persons": "183.235 (modified level 183.335): heel 10° at most; any point of the fore or "
    "the aft reference area above water; over the other no more than 6 in (152 mm) of it",
}
HEADS = ("test", "hang, under water", "as steel, in air", "water at bow", "at stern", "heel", "expected")


def trial_section(result: FloatResult, boat: Boat) -> Section:
    """The tests with what the plan expects of them."""
    rows, lines = [], []
    for name, kg in swamped_loads(boat):
        state = next((s for s in result.states if s.name.startswith(f"{name}, swamped")), None)
        rows.append(
            (
                name,
                units.mass(kg),
                units.mass(dry_weight(kg, STEEL_DENSITY.value)),
                *_seen(state),
                _expected(name, state),
            )
        )
        lines.append(f"{name}: {RULES[name]}")
    if boat.flotation == "modified":
        lines.append("modified level: no more than this is hung; the weights to hang are in 183.320")
    if boat.load_at is None:
        lines.append("where to hang it is not known: give boat.load_at, the middle of the persons' area")
    else:
        lines.append(f"hang it at {place(boat.load_at.standing(result.frame))}, as the boat stands")
    lines += [
        "swamp the boat and heel it to and fro until no air comes out; wait; then read the water line at bow and stern "
        "from the base plane up (common practice, no source), beside what stands in the table",
        "Read: 183.105, 183.235 and 183.335 in public copies of the code. Not read, so neither weights' places nor "
        "depths of the other level tests (183.225, 183.230), nor the loads of the modified level tests (183.320 to "
        "183.330), are given here: take them from the regulation in force. What is expected is an estimate, the test "
        "decides.",
    ]
    return Section("Tests on the water: what to hang, and what to see", tuple(lines), Rows(HEADS, tuple(rows)))


def _seen(state: FloatState | None) -> tuple[str, str, str]:
    if state is None or not state.floats:
        return "-", "-", "-"
    return units.length(state.bow_m), units.length(state.stern_m), angle(abs(state.heel_rad))


def _expected(name: str, state: FloatState | None) -> str:
    if state is None:
        return "NOT COMPUTED: no place of the load is given"
    if not state.floats:
        return "SINKS"
    if name.startswith("basic"):
        return "floats"
    if state.capsizes or state.end_capsizes:
        return "CAPSIZES" if state.capsizes else "may CAPSIZE"
    return "heels by MORE than 10°" if heels_too_far(state) else "floats within 10° of heel"
