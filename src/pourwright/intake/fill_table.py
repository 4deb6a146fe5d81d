"""[fill]: solid, lined by turning, round cores, or in ribs."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from pourwright import units
from pourwright.cores import COVER, EPS_LIMIT, GAP, CoreRules
from pourwright.errors import JobError, Said
from pourwright.intake.fields import Direction, Due, DueChoice, Name, Table, key, lengths, needed, taken
from pourwright.intake.shop import JUDGED
from pourwright.intake.site_tables import Side
from pourwright.lining import HAND, REACH, STOPS_RAD, TURNINGS, PartRules, Rules
from pourwright.ribs import BOARD_DENSITY, RibRules
from pourwright.sources import Standing
from pourwright.units import show

MACHINES = ("frame", "cradle")
OF_CORES = ("core", "size", "density", "limit", "cover", "gap")


@dataclass(frozen=True)
class DueStops:
    """Angles of a cradle, in their order."""

    def __call__(self, value: object) -> tuple[float, ...]:
        """Radians, or ``ValueError`` with what is allowed."""
        asked = value if isinstance(value, (list, tuple)) else [value]
        found = [re.fullmatch(r"(-?\d{1,3}(?:\.\d+)?) ?(?:deg|°)", str(one).strip()) for one in asked]
        degrees = [float(one[1]) for one in found if one is not None]
        if not 1 <= len(degrees) == len(asked) <= 24 or any(abs(one) > 720.0 for one in degrees):
            raise ValueError(f"must be {self.words()}")
        return tuple(math.radians(one) for one in degrees)

    def words(self) -> str:
        """What may be written, for the documentation."""
        return '1 to 24 angles in a list, like ["90 deg", "180 deg"], none beyond 720 deg'


@dataclass(frozen=True)
class DueBands:
    """Bands of height, from the lowest up."""

    def __call__(self, value: object) -> tuple[tuple[float, float], ...]:
        """Bottom and top of each [m], or ``ValueError`` with what is allowed."""
        asked = [one for one in value if isinstance(one, (list, tuple))] if isinstance(value, (list, tuple)) else []
        if not 1 <= len(asked) <= 24 or len(asked) < len(value) or any(len(one) != 2 for one in asked):  # type: ignore[arg-type]
            raise ValueError(f"must be {self.words()}")
        found = [(float(units.read(low, units.LENGTH)), float(units.read(high, units.LENGTH))) for low, high in asked]
        ends = [end for band in found for end in band]
        if ends != sorted(ends) or ends[0] < 0.0 or any(high - low < 0.01 for low, high in found):
            raise ValueError(f"must be {self.words()}")
        return tuple(found)

    def words(self) -> str:
        """What may be written, for the documentation."""
        return (
            "1 to 24 pairs of heights above the base, bottom and top of each, in a list: each 10 mm thick at least, "
            "from the lowest up and none in another"
        )


class PartTable(Table):
    """A part of a lined piece that is thicker, thinner or solid."""

    name: Name = needed("what this part is called, like legs or plinth")
    style: Annotated[str, key(DueChoice(("lining", "solid")))] = taken(
        "lining", "lining: of its own thickness. Solid: filled before the first coat, in pours of its own"
    )
    thickness: Annotated[float | None, key(Due(units.LENGTH, show.length, 0.005, 0.5))] = taken(
        None, "of its lining, behind the inside face of the skin"
    )
    start: Annotated[float | None, lengths(0.0, 200.0)] = taken(
        None, "height above the base, of the piece as it stands to be filled, from which on; the base if left out",
        alias="from",
    )  # fmt: skip
    end: Annotated[float | None, lengths(0.0, 200.0)] = taken(
        None, "height up to which; the top if left out", alias="to"
    )
    limb: Name | None = taken(
        None,
        "only that limb of the cavity, by the name that a plan gives it, like L2; a wrong name is told all of them",
    )
    flattest: Annotated[int, Field(ge=0, le=16)] = taken(
        0, "only so many of the flattest panels of the skin, the flattest first; 0: all of the skin there"
    )

    def rules(self, number: int) -> PartRules:
        """The same for the plan.

        Raises
        ------
        JobError
            It is no part, or is told twice how it is filled.
        """
        at = f"fill.part[{number}]"
        if (self.thickness is None) != (self.style == "solid"):
            raise JobError(f"{at}.thickness", None, 'give a thickness, or style = "solid", and not both')
        if self.flattest and self.style == "solid":
            raise JobError(f"{at}.flattest", self.flattest, "a panel is lined thicker, and cannot be solid")
        if self.start is None and self.end is None and self.limb is None and not self.flattest:
            raise JobError(at, Said(self.name), "say which part: from and to, a limb, or the flattest panels")
        low, high = self.start or 0.0, math.inf if self.end is None else self.end
        if not low < high:
            raise JobError(f"{at}.from", f"{1e3 * low:g} mm", "must lie under its end")
        return PartRules(self.name, self.thickness, low, high, self.limb, self.flattest)


class FillTable(Table):
    """How the piece is filled."""

    style: Annotated[str, key(DueChoice(("solid", "lining", "core", "ribs")))] = taken(
        "solid",
        "solid: all of the cavity. Lining: foam of a thickness all round, laid in coats by turning the piece. Core: "
        "light blocks or bags of balls laid in courses before the first pour, solid foam round them. Ribs: foam in "
        "bands of height only, each poured onto a dam",
    )
    thickness: Annotated[float | None, key(Due(units.LENGTH, show.length, 0.005, 0.5))] = taken(
        None, "of a lining, behind the inside face of the skin"
    )
    least: Annotated[float | None, key(Due(units.LENGTH, show.length, 0.002, 0.5))] = taken(
        None,
        "of a lining: what is enough where it is thinnest (98 % of what is coated holds it or more); without it half "
        f"of the thickness: {JUDGED}",
    )
    turning: Annotated[str, key(DueChoice(tuple(TURNINGS)))] = taken(
        "hand",
        "how the piece is turned for its coats: by hand about any axis, level or with one end raised by 30 degrees; on "
        f"a two-axis frame about its axes; in a cradle about one axis from stop to stop: {JUDGED}",
    )
    by: Annotated[str, key(DueChoice(("turning", "spreading")))] = taken(
        "turning",
        "how a lining is laid. Turning: a mix runs over the inside while the piece is turned. Spreading: the piece "
        f"lies still, and foam is poured along its wall and brushed out through a mouth that is {1e3 * HAND.value:.0f} "
        f"mm clear or more: {JUDGED}",
    )
    positions: list[Direction] = taken(
        [],
        "of a lining by spreading: which ways up the piece can be set down in, in the shell's axes; without it only as "
        "it stands to be filled",
        max_length=8,
    )
    reach: Annotated[float | None, key(Due(units.LENGTH, show.length, 0.1, 5.0))] = taken(
        None,
        f"of a lining by spreading: how far in from a mouth foam can be laid, by the shortest way inside; without it "
        f"{1e3 * REACH.value:.0f} mm, an arm with a brush: {JUDGED}",
    )
    axis: Direction | None = taken(
        None,
        "inner axis of the frame, or the axis of the cradle, in the shell's axes; without it level, from left to right",
    )
    stops: Annotated[tuple[float, ...] | None, key(DueStops())] = taken(
        None, "where a cradle stops, in their order, from the standing piece; without it every right angle once round"
    )

    core: Annotated[str, key(DueChoice(("blocks", "bags")))] = taken(
        "blocks", "of the style core: blocks of one solid, or closed bags of loose balls patted to the shape of blocks"
    )
    size: list[Side] = taken(
        [], "of the style core: the three edges of one, in any order; it may lie any way up", max_length=3
    )
    density: Annotated[float | None, key(Due(units.DENSITY, show.density, 1.0, 1000.0))] = taken(
        None,
        "of the style core: of a block, or of the balls by themselves: of them a bag holds 60 % (poured) to 64 % "
        "(shaken down) of its room; of the style ribs: of the board, without it that of plywood, 600 kg/m³ (from "
        "memory)",
    )
    limit: Annotated[float | None, key(Due(units.TEMPERATURE, show.temperature, 313.15, 533.15))] = taken(
        None,
        "how hot the surface of a core may get, by its data sheet; without it that of expanded polystyrene, "
        "taken to stand 70 °C (from memory)",
    )
    cover: Annotated[float, key(Due(units.LENGTH, show.length, 0.01, 0.5))] = taken(
        COVER.value, f"least foam between a core and the skin, a mouth or a thing inside: {JUDGED}"
    )
    gap: Annotated[float, key(Due(units.LENGTH, show.length, 0.0, 0.5))] = taken(
        GAP.value, f"foam between two cores, wide enough for it to rise through: {JUDGED}"
    )

    bands: Annotated[tuple[tuple[float, float], ...] | None, key(DueBands())] = taken(
        None, "of the style ribs: bottom and top of each rib, above the base of the piece as it stands to be poured"
    )
    board: Annotated[float, key(Due(units.LENGTH, show.length, 0.002, 0.05))] = taken(
        0.009, f"of the style ribs: thickness of the board that a dam is cut of: {JUDGED}"
    )

    part: list[PartTable] = taken(
        [],
        "of a lining: parts that are thicker, thinner or solid, written [[fill.part]]; of those that overlap the later "
        "one holds",
        max_length=20,
    )

    def rules(self) -> Rules:
        """The same for the plan.

        Raises
        ------
        JobError
            What a style needs is missing, or belongs to another.
        """
        if self.style == "lining" and self.thickness is None:
            raise JobError("fill.thickness", None, 'give it for a lining, like "50 mm"')
        if self.style != "lining" and self.thickness is not None:
            raise JobError("fill.thickness", f"{self.thickness * 1e3:g} mm", 'goes with fill.style = "lining"')
        if self.least is not None and (self.thickness is None or self.least > self.thickness):
            raise JobError(
                "fill.least", f"{self.least * 1e3:g} mm", "goes with a lining, and is no more than its thickness"
            )
        for name in ("axis", "stops"):
            if getattr(self, name) is not None and self.turning not in (("cradle",) if name == "stops" else MACHINES):
                allowed = "cradle" if name == "stops" else " or ".join(MACHINES)
                raise JobError(f"fill.{name}", None, f"goes with fill.turning = {allowed}")
        self._laid_by()
        if self.part and self.style != "lining":
            raise JobError("fill.part", None, 'goes with fill.style = "lining"')
        names = [one.name for one in self.part]
        if len(set(names)) < len(names):
            raise JobError("fill.part", None, "two parts have one name: give each its own")
        stops, parts = self.stops or STOPS_RAD, tuple(one.rules(k) for k, one in enumerate(self.part, 1))
        return Rules(
            self.style, self.thickness, self.turning, self.axis, stops, self._core(), self.least, self._ribs(), parts,
            self.by, tuple(self.positions), self.reach,
        )  # fmt: skip

    def _laid_by(self) -> None:
        if self.by == "spreading" and self.style != "lining":
            raise JobError("fill.by", self.by, 'goes with fill.style = "lining"')
        if self.by == "spreading" and "turning" in self.model_fields_set:
            raise JobError("fill.turning", self.turning, 'goes with fill.by = "turning": what is spread is not turned')
        for name in ("positions", "reach"):
            if self.by != "spreading" and getattr(self, name):
                raise JobError(f"fill.{name}", None, 'goes with fill.by = "spreading"')

    def _ribs(self) -> RibRules | None:
        if self.style != "ribs":
            for name in ("bands", "board"):
                if name in self.model_fields_set:
                    raise JobError(f"fill.{name}", None, 'goes with fill.style = "ribs"')
            return None
        if self.bands is None:
            raise JobError("fill.bands", None, "give bottom and top of each rib, above the base")
        density = BOARD_DENSITY.value if self.density is None else self.density
        return RibRules(self.bands, self.board, density)

    def _core(self) -> CoreRules | None:
        if self.style != "core":
            for name in OF_CORES:
                if (
                    name in self.model_fields_set
                    and getattr(self, name) is not None
                    and (name, self.style) != ("density", "ribs")
                ):
                    raise JobError(f"fill.{name}", None, 'goes with fill.style = "core"')
            return None
        if len(self.size) != 3:
            raise JobError(
                "fill.size", len(self.size), 'give the three edges of a core, like ["400 mm", "300 mm", "200 mm"]'
            )
        if self.density is None:
            raise JobError("fill.density", None, 'give it for cores, like "15 kg/m^3" of expanded polystyrene')
        wide, deep, tall = self.size
        limit = EPS_LIMIT.value if self.limit is None else self.limit
        by = EPS_LIMIT.standing if self.limit is None else Standing.JOB
        return CoreRules(
            self.core, (wide, deep, tall), self.density, limit, self.cover, self.gap, by, tuple(self.assumed())
        )

    def assumed(self) -> list[str]:
        """What cores are taken to be where the job does not say."""
        if self.style != "core":
            return []
        limit = f"surface of a core {units.temperature(EPS_LIMIT.value)} at most, as of expanded polystyrene"
        words = {
            "core": "cores taken as blocks of one solid",
            "limit": f"{limit} ({EPS_LIMIT.standing.value})",
            "cover": f"{units.length(self.cover)} of foam between a core and skin, mouth or a thing inside ({JUDGED})",
            "gap": f"{units.length(self.gap)} of foam between two cores ({JUDGED})",
        }
        return [
            said for name, said in words.items() if name not in self.model_fields_set or getattr(self, name) is None
        ]
