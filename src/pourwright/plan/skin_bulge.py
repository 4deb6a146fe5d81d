"""The skin under every lift by finite elements: in place of the panel formulas as what judges the pressure."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np

from pourwright.cavity import Cavity
from pourwright.errors import ShellError
from pourwright.evaluation import Shore, SkinBulge
from pourwright.findings import Verdict
from pourwright.foam import FoamAtShop
from pourwright.lifts import Lift, Measures, Tighter
from pourwright.lifts import judged as names
from pourwright.panels import Panel
from pourwright.plan.model import Job
from pourwright.plan.structural import structure_of
from pourwright.progress import Progress, silent
from pourwright.shell import Skin
from pourwright.structure import (
    HARDLY_THINNER,
    LiftBulge,
    PressedLift,
    SkinMesh,
    Under,
    higher_start,
    lift_bulge,
    limit_pressure,
    skin_mesh,
    stands_in,
    thinner_lift,
    under_of,
)

FINELY = 0.5  # of what the skin stands, used on the coarse mesh: below, the finer one is not asked
GIVE_UP = 2  # lifts without shores that hold them, after which the others are not searched
NO_SHORES = "no shores were found that hold it: hold the skin in a mould or cradle"
NOT_SOUGHT = "shores were not looked for, as none held the lifts below: hold the skin in a mould or cradle"


def skin_judge(
    job: Job, skin: Skin, cavity: Cavity, foam: FoamAtShop, found: tuple[Panel, ...], wanted: bool
) -> tuple[SkinJudge | None, str]:
    """What judges the pressure on the skin, or None; and why nothing better than formulas does, "" if not asked."""
    if job.limits.held:
        return None, "The skin is held from outside while it is filled: the mould or cradle takes the pressure."
    if not wanted:
        return None, ""
    try:
        return SkinJudge(job, skin, cavity, foam, found), ""
    except ShellError as error:
        return None, f"The skin was not computed by finite elements ({error}): panel formulas judge its pressure."


class SkinJudge:
    """Judges divisions of one cavity; keeps its mesh, and the answers for lifts that stay as they were."""

    def __init__(self, job: Job, skin: Skin, cavity: Cavity, foam: FoamAtShop, panels: tuple[Panel, ...]):
        """Raises ShellError where no mesh of the skin can be made."""
        self.job, self.skin, self.cavity, self.foam, self._panels = job, skin, cavity, foam, panels
        self.mesh: SkinMesh = skin_mesh(skin, cavity.frame, job.structure.triangles)
        self.change = math.nan  # of the largest share used, from this mesh to one of twice as many triangles
        self._known: dict[tuple[int, PressedLift], LiftBulge] = {}
        self._thin: dict[PressedLift, tuple[float, float]] = {}

    def bulges(self, lifts: Sequence[Lift], props: bool = False, progress: Progress = silent) -> dict[int, SkinBulge]:
        """The skin beside each lift, by its number, under the pressure of its pours.

        With ``props``, for the last word: on twice as many triangles where that may matter (``_closely``), and shores
        are looked for.
        """
        asked = structure_of(self.job, self.skin, self.cavity, self.foam, lifts)
        under = under_of(asked, self.mesh, self._panels)
        closely: dict[int, Under] = {}
        if props:
            finely = under_of(asked, self._last_mesh, self._panels)
            closely = dict.fromkeys(self._closely(under, finely, asked.lifts), finely)
        out: dict[int, SkinBulge] = {}
        failed = 0
        for k, (lift, pressed) in enumerate(zip(lifts, asked.lifts, strict=True)):
            progress("skin under pressure", k / len(lifts))
            on = closely.get(k, under)
            search = props and failed < GIVE_UP
            found = self._bulge(on, pressed)
            if search and (found.verdict != Verdict.OK or stands_in(on, pressed)):
                found = lift_bulge(on, pressed, thinner=False)
            if props or not found.large:
                stands = limit_pressure(on, pressed, found)
            else:  # enough to divide by; the last word looks it up
                stands = found.pressure_pa / found.used if found.used > 0 else math.inf
            if props and found.verdict == Verdict.OVER:
                failed += not found.passes
                thin, _ = self._thin.get(replace(pressed, number=0), (math.nan, math.inf))
                words = found.words if found.passes else NO_SHORES if search else NOT_SOUGHT
                found = replace(found, thinner_m=thin, words=words)
            out[lift.number] = self._told(lift, found, stands, len(on.mesh.faces))
        progress("skin under pressure", 1.0)
        return out

    @cached_property
    def _last_mesh(self) -> SkinMesh:
        """That of the last word; the same again where no finer one can be made."""
        with contextlib.suppress(ShellError):
            return skin_mesh(self.skin, self.cavity.frame, self.job.structure.last_triangles)
        return self.mesh

    def _closely(self, under: Under, finely: Under, lifts: tuple[PressedLift, ...]) -> list[int]:
        """Which lifts get their last word on the finer mesh.

        Those that use more than half of what the skin stands on the coarse one, that stand on the ground, or of which
        it knows nothing; and always the one that uses most. Where the finer mesh finds more than twice as much in any
        of them, so much more is expected of the others too.
        """
        if finely.mesh is under.mesh:
            return []
        coarse = [self._bulge(under, lift).used for lift in lifts]
        order = sorted(range(len(lifts)), key=lambda k: -coarse[k] if math.isfinite(coarse[k]) else math.inf)
        chosen: list[int] = []
        more = 1.0 / FINELY
        for k in order:
            unknown = not math.isfinite(coarse[k])
            if chosen and not (unknown or coarse[k] * more >= 1.0 or stands_in(finely, lifts[k])):
                continue
            fine = self._bulge(finely, lifts[k]).used
            if not unknown and math.isfinite(fine) and coarse[k] > 0:
                more = max(more, fine / coarse[k])
            chosen.append(k)
        if chosen:
            self.change = _change([coarse[k] for k in chosen], [self._bulge(finely, lifts[k]).used for k in chosen])
        return chosen

    def _bulge(self, under: Under, pressed: PressedLift) -> LiftBulge:
        key = len(under.mesh.faces), replace(pressed, number=0)
        if key not in self._known:
            self._known[key] = lift_bulge(under, pressed, thinner=False, props=False)
        return self._known[key]

    def asks(self, lifts: Sequence[Lift], bulges: Mapping[int, SkinBulge], searched: bool) -> tuple[Tighter, ...]:
        """Thicknesses at which the lifts that bulge the skin too far would not; ``searched``: of a searched day."""
        asked = structure_of(self.job, self.skin, self.cavity, self.foam, lifts)
        under = under_of(asked, self.mesh, self._panels)
        out = []
        for lift, pressed in zip(lifts, asked.lifts, strict=True):
            if lift.number not in bulges or bulges[lift.number].verdict != "over":
                continue
            for one, nodes in self._offenders(under, lift, pressed):
                key = replace(one, number=0)
                if key not in self._thin:
                    self._thin[key] = self._thinner(under, one, searched)
                thin, start = self._thin[key]
                if math.isfinite(thin) or math.isfinite(start):
                    words = f"a lift of {1e3 * (one.top_m - one.bottom_m):.0f} mm would bulge the skin too far"
                    thick = max(names.THIN_LIFT.value, thin if math.isfinite(thin) else one.top_m - start)
                    out.append(Tighter(one.bottom_m, one.top_m, thick, names.PRESSURE, words, nodes, start))
        return tuple(out)

    def _offenders(self, under: Under, lift: Lift, pressed: PressedLift) -> list[tuple[PressedLift, tuple[int, ...]]]:
        """The pours of a lift that bulge the skin too far by themselves, with their nodes; all of it if none does."""
        if not lift.pours[0].limb or not all(pour.reach_m for pour in pressed.pours):
            return [(pressed, ())]
        pours = [pour for pour in lift.pours if not pour.poured]
        each = [
            (pressed.alone(one), tuple(pour.nodes.tolist())) for one, pour in zip(pressed.pours, pours, strict=True)
        ]
        return [one for one in each if self._bulge(under, one[0]).verdict == Verdict.OVER] or [(pressed, ())]

    @staticmethod
    def _thinner(under: Under, pressed: PressedLift, searched: bool) -> tuple[float, float]:
        """Thickness from the same bottom, and bottom with the same top, of a lift that passes.

        Only the cuts of a searched day can be moved one by one: for even bands the second is not sought (inf).
        """
        if not searched:
            return thinner_lift(under, pressed), math.inf
        start = higher_start(under, pressed)
        return thinner_lift(under, pressed, HARDLY_THINNER), start if math.isfinite(start) else math.inf

    def _told(self, lift: Lift, bulge: LiftBulge, stands_pa: float, triangles: int) -> SkinBulge:
        frame = self.cavity.frame
        closed = [c for pour in lift.pours for c in pour.checks if c.name == names.PRESSURE]
        worst = min(closed, key=lambda c: c.limit if math.isfinite(c.limit) else math.inf, default=None)
        unknown = [c for c in closed if c.verdict == "unknown"]
        shores = tuple(
            Shore(
                _shore(lift.number, k),
                _frozen(frame.to_shell(prop.point_m)),
                _frozen(prop.normal @ frame.rotation),
                _measures(prop.point_m),
                prop.force_n,
                prop.pad_m,
                prop.board_m,
            )
            for k, prop in enumerate(bulge.props, start=1)
            if bulge.passes
        )
        said = unknown[0] if unknown else worst
        limit = math.nan if said is None or unknown else said.limit
        source = "" if said is None else said.source
        return SkinBulge(
            pressure_pa=bulge.pressure_pa,
            outward_m=bulge.outward_m,
            allowed_m=bulge.allowed_m,
            point_m=_frozen(frame.to_shell(bulge.point_m)),
            measures=_measures(bulge.point_m),
            stress_pa=bulge.stress_pa,
            stress_limit_pa=bulge.stress_limit_pa,
            used=bulge.used,
            bulge_used=bulge.bulge_used,
            stands_pa=stands_pa,
            beyond=bulge.beyond,
            large=bulge.large,
            verdict=Verdict.SHORED if bulge.verdict == Verdict.OVER and shores else bulge.verdict,
            shores=shores,
            propped_m=bulge.propped_m,
            propped_pa=bulge.propped_pa,
            hold_down_n=bulge.hold_down_n,
            thinner_m=bulge.thinner_m,
            words=bulge.words,
            triangles=triangles,
            closed_limit_pa=limit,
            closed_words=source,
        )


def _change(coarse: list[float], fine: list[float]) -> float:
    """Change of the largest share, from a coarse to a fine mesh; nan where none is known."""
    pairs = [(a, b) for a, b in zip(coarse, fine, strict=True) if math.isfinite(a) and math.isfinite(b)]
    if not pairs:
        return math.nan
    most = max(max(pair) for pair in pairs)
    return max(b for _, b in pairs) / max(a for a, _ in pairs) - 1.0 if most > 0 else 0.0


def _shore(lift: int, k: int) -> str:
    return f"S{lift}.{k}"


def _measures(standing_m: np.ndarray) -> Measures:
    left, front, base = (float(v) for v in standing_m)
    return Measures(base, left, front)


def _frozen(array: np.ndarray) -> np.ndarray:
    array = np.array(array, float)
    array.setflags(write=False)
    return array
