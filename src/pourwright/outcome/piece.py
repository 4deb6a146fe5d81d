"""A planned piece as the installer's questions see it: masses, how it stands, what its foam bears, its surface."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np

from pourwright.cavity import PourFrame
from pourwright.outcome.parts import Part
from pourwright.outcome.site import Site
from pourwright.physics.constants import STANDARD_GRAVITY
from pourwright.physics.foam_strength import COLLAPSE_EXPONENT, SHEAR_EXPONENT, random_field_modulus
from pourwright.ranges import Range
from pourwright.shell import WallBand, WallGauge, WallRegion

GRAVITY = STANDARD_GRAVITY


@dataclass(frozen=True, eq=False)
class FoamChamber:
    """The foam of one piece of the cavity that is not connected to the others."""

    volume_m3: float  # nominal
    middle_m: np.ndarray  # (3,) shell axes


@dataclass(frozen=True, slots=True)
class FoamSolid:
    """The foam as it stands in the piece."""

    grade: str
    volume_m3: Range  # the cavity's; low and high with the wall and the cells
    density_kg_m3: Range  # in place
    compressive_pa: float  # at the grade's own density ...
    shear_pa: float
    grade_density_kg_m3: float  # ... which is this
    grade_modulus_pa: float = math.nan  # at the grade's own density
    poisson: float = math.nan

    @property
    def thin(self) -> float:
        """Its lowest density in place over the grade's own, 1 at most; not known where either is not."""
        low, own = self.density_kg_m3.low, self.grade_density_kg_m3
        return min(1.0, low / own) if low > 0 and own > 0 else math.nan

    @property
    def crushing_pa(self) -> float:
        """Compressive strength at its lowest density in place."""
        return self.compressive_pa * self.thin**COLLAPSE_EXPONENT

    @property
    def shearing_pa(self) -> float:
        """Shear strength at its lowest density in place."""
        return self.shear_pa * self.thin**SHEAR_EXPONENT

    @property
    def modulus_pa(self) -> float:
        """At its lowest density in place: the grade's own, moved as published foams move with density."""
        low, own = self.density_kg_m3.low, self.grade_density_kg_m3
        if not (low > 0 and own > 0):
            return math.nan
        return self.grade_modulus_pa * min(1.0, float(random_field_modulus(low) / random_field_modulus(own)))

    chambers: tuple[FoamChamber, ...] = ()  # largest first; none: not known
    held: bool = True  # every insert of the job is known to end in it, not in a hollow that stays
    hollow_m3: float = 0.0  # of the inside, that stays hollow by the plan


@dataclass(frozen=True, slots=True)
class SkinSolid:
    """The skin as it carries what is fixed to it."""

    youngs_pa: float
    poisson: float
    design_pa: float  # design stress
    foam_bonds: bool
    spread: float  # share by which the wall may be thinner
    wall_m: float = math.nan  # at the thin end of its range, where it is known

    def at(self, wall_m: float) -> SkinSolid:
        """The skin where it is about so thick."""
        return replace(self, wall_m=wall_m * (1.0 - self.spread))


@dataclass(frozen=True, eq=False)
class Piece:
    """What is known of a planned piece without its mesh."""

    name: str
    place: str
    frame: PourFrame
    parts: tuple[Part, ...]  # skin, foam, holes and plugs, items
    site: Site
    foam: FoamSolid
    skin_title: str
    skin_kg_m3: float
    enclosed_m3: float
    area_m2: float
    open_ends: int  # rims that were capped flat
    skin: SkinSolid | None = None  # None: not known
    bands: tuple[WallBand, ...] = ()  # how thick the skin is; none where the mesh shows both faces
    regions: tuple[WallRegion, ...] = ()  # of it with a wall of their own
    gauge: WallGauge | None = None  # walls measured at points
    lined: bool = False  # its foam is laid in coats, not in lifts


@dataclass(frozen=True, eq=False)
class Surface:
    """The outside face, closed, in the shell file's axes [m], wound outwards; the inside one if the mesh has it."""

    vertices_m: np.ndarray  # (n, 3)
    faces: np.ndarray  # (m, 3)
    cap: np.ndarray  # (m,) bool: a flat cap over an opening, not skin
    inside: np.ndarray = field(default_factory=lambda: np.zeros((0, 3), int))  # (k, 3) faces of the hollow
