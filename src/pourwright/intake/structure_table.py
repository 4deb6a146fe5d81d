"""[structure]: how the skin under pressure, and the stiffness of the filled piece, are computed."""

from __future__ import annotations

from typing import Annotated

from pourwright import units
from pourwright.intake.fields import Due, DueChoice, DueNumber, Flag, Table, key, setting, taken
from pourwright.intake.shop import JUDGED
from pourwright.plan import StructureRules
from pourwright.structure import RESTS
from pourwright.units import show


class StructureTable(Table):
    """Finite elements on the skin: how finely, how often lifts are divided again, and whether gains are computed."""

    computed: Flag = taken(True, "false: panel formulas judge the pressure on the skin; so does --quick")
    triangles: Annotated[int, key(DueNumber(500, 40_000, whole=True))] = setting(
        4000, "triangles of the skin under the pressure of lifts", "4000"
    )
    rounds: Annotated[int, key(DueNumber(0, 10, whole=True))] = setting(
        2, "divisions into thinner lifts that are tried at most where the skin bulges too far", "2"
    )
    gains: Flag = taken(False, "true: also how much stiffer the filled piece is, by finite elements; takes a minute")
    gain_triangles: Annotated[int, key(DueNumber(1000, 60_000, whole=True))] = setting(
        10_000, "triangles of the skin for these gains", "10000"
    )
    rests: Annotated[str, key(DueChoice(RESTS))] = taken(
        "auto",
        "what holds the finished piece for these gains: anchors, base (the lowest band, fixed), cradle (two chocks "
        "under it, strapped), gunwale (the upper edge); auto: anchors where there are any, a cradle for a boat and for "
        f"what lies on little of its shape, else its base: {JUDGED}",
    )
    side: Annotated[float, key(Due(units.PRESSURE, show.pressure, 0.1, 1e5))] = taken(
        500.0, f"pressure on its front for these gains; 500 Pa (0.0725 psi) if left out: {JUDGED}"
    )

    def rules(self) -> StructureRules:
        """The same for the plan."""
        return StructureRules(
            computed=self.computed,
            triangles=self.triangles,
            rounds=self.rounds,
            gains=self.gains,
            gain_triangles=self.gain_triangles,
            side_pa=self.side,
            rests=self.rests,
        )
