"""The doors where units are read and shown; inside, everything is SI floats.

``reading`` turns "5 mm" into 0.005; ``showing`` turns 0.2 into "200 mm (7.9 in)". ``ureg`` is the one pint registry.
"""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.units import showing as show
    from pourwright.units.bounds import range_words
    from pourwright.units.inch_pound import converted
    from pourwright.units.reading import (
        ACTIVATION,
        AREA,
        CONDUCTIVITY,
        DENSITY,
        DIFFERENCE,
        FLOW,
        FORCE,
        HEAT,
        LENGTH,
        MASS,
        MASS_FLOW,
        PRESSURE,
        SPECIFIC_HEAT,
        TEMPERATURE,
        TIME,
        VOLUME,
        Kind,
        QuantityError,
        read,
        read_memory,
        read_share,
    )
    from pourwright.units.registry import ureg
    from pourwright.units.sentences import in_both
    from pourwright.units.showing import (
        apart,
        area,
        by_unit,
        conductivity,
        degrees,
        density,
        difference,
        digits,
        flow,
        heat,
        length,
        liquid,
        mass,
        output,
        plain,
        pressure,
        share,
        specific_heat,
        tape,
        temperature,
        time,
        volume,
    )
else:
    __getattr__ = offered(__name__)

__all__ = [
    "ACTIVATION",
    "AREA",
    "CONDUCTIVITY",
    "DENSITY",
    "DIFFERENCE",
    "FLOW",
    "FORCE",
    "HEAT",
    "LENGTH",
    "MASS",
    "MASS_FLOW",
    "PRESSURE",
    "SPECIFIC_HEAT",
    "TEMPERATURE",
    "TIME",
    "VOLUME",
    "Kind",
    "QuantityError",
    "apart",
    "area",
    "by_unit",
    "conductivity",
    "converted",
    "degrees",
    "density",
    "difference",
    "digits",
    "flow",
    "heat",
    "in_both",
    "length",
    "liquid",
    "mass",
    "output",
    "plain",
    "pressure",
    "range_words",
    "read",
    "read_memory",
    "read_share",
    "share",
    "show",
    "specific_heat",
    "tape",
    "temperature",
    "time",
    "ureg",
    "volume",
]
