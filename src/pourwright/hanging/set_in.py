"""Anchors' inserts as they stand in the piece while it is poured: what falls from above keeps clear of them."""

from __future__ import annotations

import numpy as np

from pourwright.cavity import PourFrame
from pourwright.hanging.traced import insert_spans
from pourwright.irons import Iron, rod
from pourwright.outcome import Site, Surface
from pourwright.shell import Skin

HEAD = 1e-3
"""Share of an insert's length that its head is taken to be thick: flat next to any stream; our judgement."""


def inserts_set_in(site: Site, skin: Skin, frame: PourFrame) -> tuple[Iron, ...]:
    """Shafts and heads of the inserts of a job's anchors, by the name of each anchor, standing in ``frame``.

    None where the job does not say how the piece hangs; none of an anchor without an insert, or beside the piece.
    """
    if site.hang is None or not any(anchor.insert is not None for anchor in site.anchors):
        return ()
    outside = ~skin.void_face
    surface = Surface(skin.vertices_m, skin.faces[outside], skin.cap_opening[outside] >= 0, skin.faces[skin.void_face])
    spans = insert_spans(site.anchors, surface, site.hang, skin.bands, skin.regions, skin.gauge)
    out = []
    for anchor, (begin_m, end_m) in zip(site.anchors, spans, strict=True):
        if anchor.insert is None or np.allclose(begin_m, end_m):
            continue
        begin, end = frame.to_standing(np.array([begin_m, end_m]))
        out.append(rod(anchor.name, begin, end, anchor.insert.diameter_m))
        if anchor.insert.head_m is not None:
            out.append(rod(anchor.name, end + HEAD * (begin - end), end, anchor.insert.head_m))
    return tuple(out)
