"""The skin: which surface it is, how thick, what it is made of, where it is open."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from pourwright.findings import Finding, Severity
from pourwright.ranges import Range
from pourwright.shell.gauge import WallGauge
from pourwright.shell.regions import WallRegion, inside_of, planes_of
from pourwright.shell.words import sentence, short_name
from pourwright.sources import Cited


class SkinKind(StrEnum):
    """What the mesh of the shell shows. The values are the words used in job files."""

    OUTSIDE = "outside"  # the closed outside face; the wall thickness is given
    BOTH_FACES = "both-faces"  # a closed wall with its inside face(s): the void is in the mesh
    OPEN = "open"  # the outside face, open on one or more rims, which are capped flat


@dataclass(frozen=True, slots=True)
class MeshFinding:
    """Something the mesh check saw, and where."""

    found: Finding
    at_m: tuple[tuple[float, float, float], ...] = ()  # in the shell file's axes; some of many

    @property
    def severity(self) -> Severity:
        """Whether it is a note, a warning or a refusal."""
        return self.found.severity

    @property
    def name(self) -> str:
        """Short plain words, e.g. "flipped triangles"."""
        return short_name(self.found.code)

    @property
    def words(self) -> str:
        """One sentence with numbers, in SI units."""
        return sentence(self.found)


@dataclass(frozen=True, slots=True)
class SkinMaterial:
    """A skin material; every field is SI. ``cited`` holds the source of each by field name."""

    name: str
    title: str
    density_kg_m3: float
    youngs_modulus_pa: float
    poisson: float
    design_stress_pa: float  # greatest stress that is allowed in the skin: a design limit, no strength
    heat_limit_k: float  # hottest the skin may get
    specific_heat_j_kgk: float
    conductivity_w_mk: float
    foam_bonds: bool  # whether an untreated inside face takes a bond from the foam
    cited: dict[str, Cited]

    @property
    def youngs_pa(self) -> Range:
        """Modulus with its spread: the low end for how far a skin bulges, the high one for what foam adds to it."""
        cited = self.cited.get("youngs_modulus_pa")
        return Range.about(self.youngs_modulus_pa, cited.spread if cited is not None else 0.0)


@dataclass(frozen=True, slots=True)
class WallBand:
    """Wall thickness between two heights above the lowest point of the file's own z axis (inf allowed)."""

    name: str
    from_m: float
    to_m: float
    thickness_m: float
    spread: float = 0.1  # plus or minus share of the thickness


@dataclass(frozen=True, eq=False)
class Opening:
    """A rim that was capped flat. The loop is ordered; arrays are read-only, in the shell file's axes, metres."""

    name: str  # "opening 1", largest first
    loop_m: np.ndarray  # (n, 3)
    centroid_m: np.ndarray  # (3,)
    normal: np.ndarray  # (3,) unit, out of the piece
    area_m2: float


@dataclass(frozen=True, eq=False)
class Skin:
    """A trusted, closed triangle surface in metres, in the shell file's own axes, wound outwards.

    For ``BOTH_FACES`` the faces of the voids are part of ``faces`` too (wound so that the solid wall is inside) and
    ``void_face`` marks them. For ``OPEN`` the caps are part of ``faces`` and ``cap_opening`` says of which opening.
    Arrays are read-only.
    """

    source: str  # file name
    sha256: str  # of the file
    unit: str  # unit the file's numbers were read in
    kind: SkinKind
    kind_reason: str  # one sentence: why it was taken for this kind
    vertices_m: np.ndarray  # (n, 3) float64
    faces: np.ndarray  # (m, 3) int64
    cap_opening: np.ndarray  # (m,) int32, index into openings, -1 for skin
    void_face: np.ndarray  # (m,) bool
    openings: tuple[Opening, ...]
    bands: tuple[WallBand, ...]  # empty only for BOTH_FACES
    material: SkinMaterial
    triangles: int  # in the file
    watertight: bool  # the file's mesh, before capping
    area_m2: float  # outside face without caps
    enclosed_m3: float  # inside the outside face, caps closed
    findings: tuple[MeshFinding, ...]
    clean: bool = True  # closed, wound alike, nothing doubled or overlapping: any way of telling inside works
    volume_doubt_m3: float = 0.0  # plus or minus on what is inside, from what was mended or could not be told
    trust: float = 1.0  # share of the enclosed volume that is certain
    regions: tuple[WallRegion, ...] = ()  # with a wall of their own; of those that overlap the later one holds
    gauge: WallGauge | None = None  # measured walls in place of the bands'

    @property
    def walls_m(self) -> tuple[float, ...]:
        """Every thickness that is given; empty where the mesh shows both faces."""
        own = tuple(region.thickness_m for region in self.regions)
        if self.gauge is not None:
            return (float(self.gauge.thickness_m.min()), float(self.gauge.thickness_m.max()), *own)
        return (*(band.thickness_m for band in self.bands), *own)

    def thickness_of(self, points_m: np.ndarray) -> np.ndarray:
        """Wall thickness (n,) [m] at points (n, 3) of the skin in the shell file's axes; nan where none is given."""
        points = np.asarray(points_m, float).reshape(-1, 3)
        if self.gauge is not None:
            out = self.gauge.at(points)
        else:
            z, out = points[:, 2] - float(self.vertices_m[:, 2].min()), np.full(len(points), np.nan)
            for band in self.bands:
                out = np.where((z >= band.from_m) & (z < band.to_m), band.thickness_m, out)
        for region in self.regions:
            out = np.where(inside_of(planes_of(region, self.vertices_m), points), region.thickness_m, out)
        return out
