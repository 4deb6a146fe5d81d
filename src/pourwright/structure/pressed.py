"""The skin round one lift as finite elements, solved with or without shores, at its pressure or a share of it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import scipy.sparse as sp

from pourwright.fem import TURN_RAD, Contact, Equilibrium, Factor, Guide, ShellModel, equilibrium, skin_stress, springs
from pourwright.panels import Panel
from pourwright.physics.elastic.foundation import dent_stiffness
from pourwright.physics.elastic.plates_small import flexural_rigidity
from pourwright.shell import SkinMaterial
from pourwright.sources import Cited, Standing
from pourwright.structure.balance import drag, pieces_of
from pourwright.structure.boards import FlatSides
from pourwright.structure.facing import pressed_share
from pourwright.structure.mesh import SkinMesh
from pourwright.structure.model import LiftBulge, PressedLift, Prop

SHORE = Cited(1e7, "N/m", Standing.JUDGEMENT, note="a timber of 50 mm x 50 mm, 2 m long, between pad and ground")
PLANK = 4 * SHORE.value  # [N/m] a board over a whole flat side, held by four of them or by as many clamps
MARGIN = 0.6  # of the piece's width, kept of the skin beyond the lift
GROUND = 0.002  # of the pressure, where the skin moves by what it may
STRETCHES = 0.5  # of the wall: a bulge beyond this is computed with its stretch
PRESSED = 1e-9  # of a triangle, that counts as pressed
FLOOR = -0.7  # a normal that looks down more than this stands on the ground
TURNED = f"the skin would turn by more than {math.degrees(TURN_RAD):.0f} degrees, beyond what its theory holds for"
LOST = 3.0 * TURN_RAD  # a search for rest that turns the skin farther is given up: no figure could come of it


@dataclass(frozen=True, eq=False)
class Under:
    """What the pressure of lifts is judged with."""

    mesh: SkinMesh
    material: SkinMaterial
    panels: tuple[Panel, ...]
    panel_point_m: np.ndarray  # (p, 3) their middles, standing axes
    bulge_share: float
    foam_pa: Callable[[float], float]  # modulus of set foam at a height
    foam_poisson: float
    foam_depth_m: float  # behind the skin
    bonds: bool
    held: bool  # in a mould or cradle


def allowed_bulge(under: Under, point_m: np.ndarray) -> np.ndarray:
    """How far the skin may bulge at points (..., 3): the share of the width of the nearest panel (for its size).

    Without any panel, of the smallest extent of the piece.
    """
    if not under.panels:
        whole = under.bulge_share * float(np.ptp(under.mesh.vertices_m, axis=0).min())
        return np.full(point_m.shape[:-1], whole)
    width = np.array([panel.width_m for panel in under.panels])
    near = np.linalg.norm(under.panel_point_m - point_m[..., None, :], axis=-1) / width
    return np.asarray(under.bulge_share * width[np.argmin(near, axis=-1)])


def _on_ground(mesh: SkinMesh) -> np.ndarray:
    """Vertices (n,) bool that stand on the ground: the lowest, looking down."""
    z = mesh.vertices_m[:, 2]
    deep = max(0.5 * mesh.side_m, 0.01 * float(np.ptp(z)))
    return (z < z.min() + deep) & (mesh.normal[:, 2] < FLOOR)


def stands_in(under: Under, lift: PressedLift) -> bool:
    """Whether a lift presses skin that stands on the ground."""
    on = _on_ground(under.mesh)[under.mesh.faces].all(axis=1)
    return bool((on & (pressed_share(under.mesh, lift) > PRESSED)).any())


def bed(rigidity_nm: np.ndarray, foam_pa: np.ndarray, poisson: float, depth_m: float) -> np.ndarray:
    """Springs per area [Pa/m] that give a flat skin on foam its true dent: ``k = (S / 8)^2 / D``.

    ``S`` is the dent stiffness of a wide plate on an elastic layer (``physics.foundation``), and a plate on springs has
    ``S = 8 sqrt(k D)``.
    """
    out = np.zeros(len(rigidity_nm))
    pairs, index = np.unique(
        np.round(np.log(np.stack([rigidity_nm, np.maximum(foam_pa, 1.0)], 1)), 2), axis=0, return_inverse=True
    )
    for k, (d, e) in enumerate(np.exp(pairs)):
        stiff = _dent(float(d), float(e), poisson, depth_m)
        out[np.ravel(index) == k] = (stiff / 8) ** 2 / d
    return out


@lru_cache(maxsize=4096)
def _dent(rigidity_nm: float, foam_pa: float, poisson: float, depth_m: float) -> float:
    return dent_stiffness(rigidity_nm, 0.0, foam_pa, poisson, depth_m)


def _with_stretch(linear: float) -> float:
    """About how far a held plate bulges, over its wall, where without stretch it would by ``linear``: a first guess.

    x + x^3 = linear, the form of the cubic law of held plates; it only says where the search for rest begins.

    >>> round(_with_stretch(10.0), 6)
    2.0
    """
    half = math.asinh(1.5 * math.sqrt(3.0) * linear) / 3.0
    return 2.0 / math.sqrt(3.0) * math.sinh(half)


class PressedPart:
    """The skin round one lift."""

    def __init__(self, under: Under, lift: PressedLift, held: bool = True):
        self.under, self.lift = under, lift
        mesh = under.mesh
        height = mesh.vertices_m[mesh.faces].mean(axis=1)[:, 2]
        extent = np.ptp(mesh.vertices_m, axis=0)
        margin = MARGIN * float(max(extent[0], extent[1]))
        near = (height > lift.bottom_m - margin) & (height < lift.top_m + margin)
        share = pressed_share(mesh, lift)
        self.empty = not (share > PRESSED).any()
        if self.empty:
            return
        used, index = np.unique(mesh.faces[near], return_inverse=True)
        self.vertices, self.normal = mesh.vertices_m[used], mesh.normal[used]
        self.pressed_share = share[near]
        self.pressed = self.pressed_share > PRESSED
        material = under.material
        self.model = ShellModel(
            self.vertices, index.reshape(-1, 3), mesh.thickness_m[near], material.youngs_pa.low, material.poisson
        )
        wall = mesh.vertex_thickness_m[used]
        self.wall = wall
        self.rigidity = np.asarray(flexural_rigidity(material.youngs_pa.low, material.poisson, wall))
        z = self.vertices[:, 2]
        cut = np.isin(used, np.unique(mesh.faces[~near]))
        floor = _on_ground(mesh)[used]
        self.floor = floor
        self.flat = FlatSides(self.model, floor, float(wall.min()), mesh.side_m)
        self.hold = np.zeros((len(used), 6), bool)
        self.hold[cut] = True
        self.hold[floor, 2] = held  # it may slide: nothing holds it sideways but its own shape
        self.load = self._balanced(floor & held)
        self.allowed_m = allowed_bulge(under, self.vertices)
        self.ground = self._ground()
        foam = np.zeros(len(used))
        below = z < lift.bottom_m - 1e-9
        if below.any():
            modulus = np.array([under.foam_pa(float(h)) for h in z[below]])
            foam[below] = bed(self.rigidity[below], modulus, under.foam_poisson, under.foam_depth_m)
        self.foam_n_m = foam * self.model.vertex_area_m2
        touched = self.model.triangles[self.pressed]
        self._order: Factor | None = None  # in which its unknowns are eliminated, once found
        self._straight: np.ndarray | None = None  # movement under the whole pressure, without shores or stretch
        self.counts = np.zeros(len(used), bool)
        self.counts[np.unique(touched)] = True

    def _balanced(self, floor: np.ndarray) -> np.ndarray:
        """The pressure on the skin with the drag of the foam that belongs to it, vessel by vessel, as (size,)."""
        model, total = self.model, np.zeros((len(self.vertices), 6))
        vessels = pieces_of(model.triangles, self.pressed, len(self.vertices))
        for k in range(vessels.max() + 1):
            mine = vessels == k
            push = model.pressure_load(np.where(mine, self.lift.pressure_pa * self.pressed_share, 0.0)).reshape(-1, 6)
            area = model.scatter(
                np.repeat(np.where(mine, model.area_m2 * self.pressed_share, 0.0)[:, None] / 3, 3, axis=1)
            )
            total += push
            total[:, :3] += drag(self.vertices, self.normal, area, push[:, :3], floor)
        return total.ravel()

    def _ground(self) -> sp.csr_array:
        """Faint springs all over, that keep a piece on small feet from drifting."""
        allowed = float(self.allowed_m.min())
        faint = GROUND * max(self.lift.pressure_pa, 1.0) / allowed * self.model.vertex_area_m2
        return sp.csr_array(sp.diags_array(np.repeat(faint, 6) * np.tile([1.0, 1.0, 1.0, 0.0, 0.0, 0.0], len(faint))))

    def bulges(self, bulge: LiftBulge, props: tuple[Prop, ...], pad_m: float, wide: bool) -> tuple[Prop, ...]:
        """Places for more shores: where the skin moves too far, else where it moves most; well apart."""
        share = self.share * (~np.isin(np.arange(len(self.share)), self.under_pads))
        wanted = (
            np.flatnonzero(share > 1.0)
            if bulge.outward_m > bulge.allowed_m or (share > 1.0).any()
            else np.empty(0, int)
        )
        if not len(wanted):
            wanted = np.array([int(np.argmax(share))])
        taken = [prop.point_m for prop in props]
        ways = [prop.normal for prop in props]
        chosen: list[Prop] = []
        for k in wanted[np.argsort(-share[wanted], kind="stable")]:
            point, normal = self.vertices[k], self.normal[k]
            apart = max(2.2 * pad_m, 0.6 * allowed_bulge(self.under, point) / self.under.bulge_share if wide else 0.0)
            near = [np.linalg.norm(point - p) < apart and normal @ w > 0.5 for p, w in zip(taken, ways, strict=True)]
            if not any(near):
                chosen.append(Prop(point, normal, 0.0, pad_m))
                taken.append(point)
                ways.append(normal)
        return tuple(chosen)

    def sides(self, props: tuple[Prop, ...]) -> tuple[Prop, ...]:
        """Boards over the whole of each flat side that bulges, or is stressed, too far."""
        used = np.maximum(self.share[self.model.triangles].max(axis=1), self.stress_share)
        return self.flat.boards(np.where(self.pressed, used, 0.0), props)

    def _pad(self, prop: Prop) -> np.ndarray:
        """Vertices (n,) bool that a shore or board bears on."""
        if prop.board_m is not None:
            return self.flat.under(prop)
        far = np.linalg.norm(self.vertices - prop.point_m, axis=1)
        mine = (far <= prop.pad_m) & (self.normal @ prop.normal > 0.5)
        mine[int(np.argmin(far))] = True
        return np.asarray(mine)

    def solve(self, props: tuple[Prop, ...], share: float = 1.0, stretch: bool = True) -> LiftBulge:
        """The bulge with shores at ``props``; the forces they take are in the answer's own props.

        ``share`` of the lift's pressure; without ``stretch`` as if the skin bulged in proportion to it.

        Raises
        ------
        ShellError
            No rest was found, or only one in which the skin turns far beyond what its theory holds for.
        """
        model, under = self.model, self.under
        stiff, way = self.foam_n_m.copy(), self.normal.copy()
        extra = self.ground * share
        if under.bonds and stiff.any():
            on = np.flatnonzero(stiff)
            extra = sp.csr_array(extra + springs(model, on, self.normal[on], stiff[on]))
            stiff[:] = 0.0
        pads = [self._pad(prop) for prop in props]
        for prop, pad in zip(props, pads, strict=True):
            area = model.vertex_area_m2[pad]
            stiff[pad] = (SHORE.value if prop.board_m is None else PLANK) * area / area.sum()
            way[pad] = -prop.normal
        contact = Contact(stiff, way) if stiff.any() else None
        load = self.load * share
        rest: Equilibrium | None = None
        straight = None if contact is not None or self._straight is None else share * self._straight
        if straight is None or not stretch or self._swell(straight) <= STRETCHES:
            rest = equilibrium(model, load, self.hold, contact=contact, extra=extra, guide=Guide(like=self._order))
            self._order, straight = rest.order, rest.movement
            if contact is None:
                self._straight = straight / share
        large = stretch and self._swell(straight) > STRETCHES
        if large or rest is None:
            swell = self._swell(straight)
            rest = equilibrium(
                model, load, self.hold, large=True, contact=contact, extra=extra,
                guide=Guide(straight * (_with_stretch(swell) / swell), LOST, self._order),
            )  # fmt: skip
            self._order = rest.order
        return self._told(rest, props, pads, share, large)

    def _swell(self, movement: np.ndarray) -> float:
        """How far a movement goes outwards, over the wall."""
        return float(self._outward(movement).max()) / float(self.wall.min())

    def _told(
        self, rest: Equilibrium, props: tuple[Prop, ...], pads: list[np.ndarray], share: float, large: bool
    ) -> LiftBulge:
        model, under = self.model, self.under
        out = self._outward(rest.movement)
        used = out / self.allowed_m
        k = int(np.argmax(used))
        stress = self._smoothed(skin_stress(model, rest.movement, large).peak_pa)
        backed = self.floor | np.any(pads, axis=0) if pads else self.floor
        stress[backed[model.triangles].all(axis=1)] = 0.0  # it lies against ground or board and cannot bend
        worst = int(np.argmax(np.where(self.pressed, stress, 0.0)))
        limit = under.material.design_stress_pa
        known = math.isfinite(limit) and limit > 0
        beyond = large and rest.turn_rad > TURN_RAD
        over = used[k] > 1.0 or (known and stress[worst] > limit)
        verdict = "over" if over else "ok" if known and not beyond else "unknown"
        point = self.vertices[k]
        self.outward_m, self.share = out, used
        self.stress_share = stress / limit if known else np.zeros(len(stress))
        self.under_pads = np.flatnonzero(np.any(pads, axis=0)) if pads else np.empty(0, int)
        forces = tuple(
            replace(prop, force_n=float(rest.push_n[pad].sum())) for prop, pad in zip(props, pads, strict=True)
        )
        return LiftBulge(
            self.lift.number, share * self.lift.pressure_pa, float(out.max()), point, float(self.allowed_m[k]),
            float(stress[worst]), limit, large, verdict, forces,
            used=max(float(used[k]), float(stress[worst]) / limit if known else 0.0),
            bulge_used=float(used[k]), beyond=TURNED if beyond else "",
        )  # fmt: skip

    def scaled(self, times: float) -> None:
        """Take the shares of the last answer, found under less, as so many times as large: to place shores by."""
        self.share, self.stress_share = times * self.share, times * self.stress_share

    def _smoothed(self, stress_pa: np.ndarray) -> np.ndarray:
        """Stress (m,) as the mean at a triangle's corners, there the mean by area: a mesh tells no more."""
        model = self.model
        at_corner = np.repeat((stress_pa * model.area_m2 / 3)[:, None], 3, axis=1)
        at_vertex = model.scatter(at_corner) / model.vertex_area_m2
        return np.asarray(at_vertex[model.triangles].mean(axis=1))

    def _outward(self, movement: np.ndarray) -> np.ndarray:
        moved = (movement.reshape(-1, 6)[:, :3] * self.normal).sum(axis=1)
        return np.where(self.counts, np.maximum(moved, 0.0), 0.0)
