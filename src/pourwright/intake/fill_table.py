"""[fill]: solid, or lined by turning."""

from __future__ import annotations

from typing import Annotated

from pourwright import units
from pourwright.errors import JobError
from pourwright.intake.fields import Due, DueChoice, Table, key, taken
from pourwright.intake.shop import JUDGED
from pourwright.lining import TURNINGS, Rules
from pourwright.units import show

NOT_PLANNED = {
    "core": "cores are not planned: their uplift while the foam is liquid and their heat are not computed",
    "ribs": "ribs are not planned: the dams they are poured against are not computed",
}


class FillTable(Table):
    """How the piece is filled."""

    style: Annotated[str, key(DueChoice(("solid", "lining", "core", "ribs")))] = taken(
        "solid",
        "solid: all of the cavity. Lining: foam of a thickness all round, laid in coats by turning the piece. Core and "
        "ribs are names for what is not planned; they are refused",
    )
    thickness: Annotated[float | None, key(Due(units.LENGTH, show.length, 0.005, 0.5))] = taken(
        None, "of a lining, behind the inside face of the skin"
    )
    turning: Annotated[str, key(DueChoice(tuple(TURNINGS)))] = taken(
        "hand",
        "how the piece is turned for its coats: hand and frame tip it by a right angle and roll it round, a cradle "
        f"with stops by 45 degrees: {JUDGED}",
    )

    def rules(self) -> Rules:
        """The same for the plan.

        Raises
        ------
        JobError
            A style that is not planned, or a lining without its thickness.
        """
        if self.style in NOT_PLANNED:
            raise JobError("fill.style", self.style, f"{NOT_PLANNED[self.style]}; give solid or lining")
        if self.style == "lining" and self.thickness is None:
            raise JobError("fill.thickness", None, 'give it for a lining, like "50 mm"')
        if self.style == "solid" and self.thickness is not None:
            raise JobError("fill.thickness", f"{self.thickness * 1e3:g} mm", 'goes with fill.style = "lining"')
        return Rules(self.style, self.thickness, self.turning)
