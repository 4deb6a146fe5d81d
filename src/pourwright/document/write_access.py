"""Level ceilings and the tilt, as blocks of ``plan.json``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pourwright.document.model_access import CeilingDoc, TiltDoc
from pourwright.document.reflect import block_of
from pourwright.document.values import point

if TYPE_CHECKING:
    from pourwright.access import CeilingAir, Tilt
    from pourwright.cavity import PourFrame


def ceiling_block(one: CeilingAir, frame: PourFrame) -> CeilingDoc:
    """A level ceiling with its vents."""
    ceiling, corners = one.ceiling, frame.to_shell(one.ceiling.corners_m)
    return CeilingDoc(
        name=one.name,
        area_m2=ceiling.area_m2,
        from_base_m=float(ceiling.crown_m[2]),
        slope=float(np.hypot(*ceiling.slope)),
        corners_m=[point(corner) for corner in corners],
        vents=list(one.vents),
        bare_corners_m=[point(corner) for corner in corners[one.cover.corner]],
        air_left_m3=one.cover.air_m3,
    )


def tilt_block(tilt: Tilt | None, frame: PourFrame) -> TiltDoc | None:
    """The tilt that would do without most vents."""
    if tilt is None:
        return None
    up = frame.rotation.T @ tilt.up
    return block_of(TiltDoc, tilt, up=point(up), to_m=[point(frame.to_shell(at)) for at in tilt.to_m])
