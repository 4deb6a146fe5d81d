"""From ribs to their block of ``plan.json``."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pourwright.document.model_ribs import DamDoc, RibHollowDoc, RibsDoc, WayInDoc
from pourwright.document.values import known, point, range_block

if TYPE_CHECKING:
    from pourwright.ribs import Dam, Ribbed


def ribs_block(found: Ribbed) -> RibsDoc:
    """Dams, ways in and hollows."""
    return RibsDoc(
        bands_m=list(found.rules.bands_m),
        board_m=found.rules.board_m,
        dams=[_dam(dam) for dam in found.dams],
        ways_in=[
            WayInDoc(
                name=w.name, rib=w.rib, over=w.over, opening=w.opening, point_m=point(w.point_m), hole_m=w.hole_m,
                found=w.found,
            )
            for w in found.ways_in
        ],
        hollows=[
            RibHollowDoc(
                volume_m3=h.volume_m3, middle_m=point(h.middle_m), bottom_m=h.bottom_m, top_m=h.top_m,
                drain_m=point(h.drain_m), breather_m=point(h.breather_m),
            )
            for h in found.hollows
        ],
    )  # fmt: skip


def _dam(dam: Dam) -> DamDoc:
    rings = [ring for part in dam.shape.geoms for ring in (part.exterior, *part.interiors)]
    return DamDoc(
        name=dam.name, rib=dam.rib, height_m=dam.height_m, area_m2=dam.area_m2,
        outline_m=[[(float(x), float(y)) for x, y in ring.coords] for ring in rings],
        joint_m=known(dam.joint_m), kg=range_block(dam.kg), pressure_pa=range_block(dam.pressure_pa),
        force_n=range_block(dam.force_n), span_m=known(dam.span_m), mouth=dam.mouth, mouth_m=dam.mouth_m,
        reach_m=known(dam.reach_m), strips=dam.strips,
    )  # fmt: skip
