"""A cup test that somebody says at the bench, by the keys of the job's [cup] table."""

from __future__ import annotations

from collections.abc import Mapping

from pydantic import ValidationError

from pourwright.foam import CupTest
from pourwright.intake.heat_table import CupTable
from pourwright.intake.job import cup_of
from pourwright.intake.problems import job_error
from pourwright.physics.constants import ZERO_CELSIUS_K


def said_cup(values: Mapping[str, object], parts_k: float, pressure_pa: float, reference: str) -> CupTest:
    """The cup test that ``values`` say.

    Parameters
    ----------
    values : mapping
        Keys of [cup] to what was typed, like ``{"cream": "38 s"}``.
    parts_k : float
        The liquids' temperature, where it is not said.
    pressure_pa : float
        The air's pressure, where it is not said.
    reference : str
        Which cup this was.

    Raises
    ------
    JobError
        With the key, as for a job file.
    """
    said = {"parts": f"{parts_k - ZERO_CELSIUS_K:.2f} degC", **values, "reference": reference}
    try:
        table = CupTable.model_validate(said)
    except ValidationError as error:
        raise job_error(error, CupTable) from None
    return cup_of(table, pressure_pa)
