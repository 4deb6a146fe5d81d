"""The rising foam as the network sees it: free volume and flow resistance against time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.errors import UsageError
from pourwright.foam import CupCurve
from pourwright.physics.constants import SOLID_DENSITY, STANDARD_ATMOSPHERE

# Judgements, no published source for a rigid pour foam; each is a named value that can be set.
# How many times the foam is as viscous as the liquid between its bubbles. Princen & Kiss (Journal of Colloid and
# Interface Science 128 (1989) 176-187, from memory) found 32 (phi - 0.73) / sqrt(Ca) for concentrated emulsions: 5 to
# 30 at the gas shares, speeds and bubbles of a rising foam.
THICKENING = 20.0
# Gelled foam still creeps: a cup goes on rising by a fifth after its string gel. About 1e4 Pa s lets a cup of 0.1 m
# rise on with less than 1 kPa, while a neck of a centimetre is shut.
GELLED_VISCOSITY_PA_S = 1e4
_RISEN_AT_GEL = 0.8  # of the rise
_NUCLEI_SHARE = 0.02  # gas beaten in by mixing, by volume of the liquid: it keeps the liquid a little compressible


@dataclass(frozen=True, eq=False)
class RisingFoam:
    """One grade of foam today, from the start of mixing. Read-only arrays of one length."""

    time_s: np.ndarray
    volume_m3_kg: np.ndarray  # specific volume as it would rise freely at ``pressure_pa``
    viscosity_pa_s: np.ndarray  # of the foam; finite
    gel_s: float
    pressure_pa: float  # of the air
    condensed_m3_kg: float  # what does not give way: liquid, later polymer

    def __post_init__(self) -> None:
        time, volume, viscosity = (np.array(a, float) for a in (self.time_s, self.volume_m3_kg, self.viscosity_pa_s))
        if time.ndim != 1 or not time.shape == volume.shape == viscosity.shape or len(time) < 2:
            raise UsageError("rising foam needs as many volumes and viscosities as times, two or more")
        if np.any(np.diff(time) <= 0) or np.any(np.diff(volume) < 0) or volume[0] < self.condensed_m3_kg:
            raise UsageError(
                "rising foam needs rising times, and volumes that never fall and never undercut the liquid's"
            )
        if not np.all(np.isfinite(viscosity)) or np.any(viscosity <= 0) or self.pressure_pa <= 0:
            raise UsageError("rising foam needs finite viscosities above zero and a pressure above zero")
        for name, array in (("time_s", time), ("volume_m3_kg", volume), ("viscosity_pa_s", viscosity)):
            array.setflags(write=False)
            object.__setattr__(self, name, array)

    @property
    def free_density_kg_m3(self) -> float:
        """Density when fully risen, unhindered [kg/m3]."""
        return 1.0 / float(self.volume_m3_kg[-1])


def rising_foam(
    cup: CupCurve,
    *,
    free_density_kg_m3: float | None = None,
    thickening: float = THICKENING,
    gelled_viscosity_pa_s: float = GELLED_VISCOSITY_PA_S,
) -> RisingFoam:
    """The foam of a cup as it rises in a piece.

    Parameters
    ----------
    cup : CupCurve
        Of today's parts; its density is that at today's air pressure.
    free_density_kg_m3 : float, optional
        Density the foam comes to where nothing holds it back [kg/m3], in place of the cup's: the gas is scaled to
        it. In a piece that is the density under a free surface, dense layer at the skin included.
    thickening : float
        Viscosity of the foam over that of the liquid between its bubbles [-].
    gelled_viscosity_pa_s : float
        Viscosity of gelled foam, and the most before [Pa s].

    Returns
    -------
    RisingFoam
        Up to the end of the cup's record.

    Raises
    ------
    UsageError
        If a value is not above zero.
    """
    if thickening <= 0 or gelled_viscosity_pa_s <= 0:
        raise UsageError("thickening and the viscosity of gelled foam must be above zero")
    condensed = 1.0 / max(SOLID_DENSITY, float(cup.density_kg_m3[0]))
    free = 1.0 / cup.density_kg_m3 - condensed
    final = 1.0 / cup.final_density_kg_m3 - condensed
    if free_density_kg_m3 is not None:
        wanted = 1.0 / free_density_kg_m3 - condensed
        if wanted <= 0:
            raise UsageError(f"a foam of {free_density_kg_m3:g} kg/m3 has no gas in it: give a lower density")
        free = free * wanted / final
        final = wanted
    gas = np.maximum(np.maximum.accumulate(free), _NUCLEI_SHARE * condensed)
    # A record may stop at the end of rise, called ended at 99 %: the rest comes too.
    gas = np.where(cup.height_share >= cup.height_share[-1], np.maximum(gas, final), gas)
    gel = cup.times.gel_s
    viscosity = np.minimum(thickening * cup.viscosity_pa_s, gelled_viscosity_pa_s)
    return RisingFoam(
        time_s=cup.time_s,
        volume_m3_kg=condensed + np.maximum.accumulate(gas),
        viscosity_pa_s=viscosity,
        gel_s=float(cup.time_s[-1]) if gel is None else gel,
        pressure_pa=cup.conditions.pressure_pa,
        condensed_m3_kg=condensed,
    )


def simple_foam(
    cream_s: float,
    gel_s: float,
    rise_end_s: float,
    free_density_kg_m3: float,
    *,
    viscosity_pa_s: float = 20.0,
    pressure_pa: float = STANDARD_ATMOSPHERE,
    gelled_viscosity_pa_s: float = GELLED_VISCOSITY_PA_S,
    points: int = 401,
) -> RisingFoam:
    """Rising foam of which only the times and the density are known.

    Four fifths of the rise between cream and gel (an S), the rest from gel to the end of rise at a falling rate, as
    the fitted cups of common grades show. The viscosity stays at ``viscosity_pa_s`` until nine tenths of the gel time
    and is that of gelled foam from the gel time on. Our judgement, no published source: a first guess, and a plain
    thing to test with.
    """
    if not 0 <= cream_s < gel_s <= rise_end_s:
        raise UsageError(f"times must run cream < gel <= rise end, got {cream_s:g}, {gel_s:g}, {rise_end_s:g} s")
    condensed = 1.0 / SOLID_DENSITY
    time = np.linspace(0.0, rise_end_s, points)
    x = np.clip((time - cream_s) / (gel_s - cream_s), 0.0, 1.0)
    late = np.clip((time - gel_s) / max(rise_end_s - gel_s, 1e-9), 0.0, 1.0)
    at_gel = _RISEN_AT_GEL if rise_end_s > gel_s else 1.0
    share = at_gel * x * x * (3 - 2 * x) + (1 - at_gel) * late * (2 - late)
    gas = (1.0 / free_density_kg_m3 - condensed) * share
    thick = np.clip((time / gel_s - 0.9) / 0.1, 0.0, 1.0)
    viscosity = viscosity_pa_s * (gelled_viscosity_pa_s / viscosity_pa_s) ** thick
    return RisingFoam(
        time, condensed + np.maximum(gas, _NUCLEI_SHARE * condensed), viscosity, gel_s, pressure_pa, condensed
    )
