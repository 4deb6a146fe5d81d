"""What is odd about the way a piece hangs, in sentences that say what follows from it."""

from __future__ import annotations

import math

import numpy as np

from pourwright.outcome.hang_model import HangResult
from pourwright.outcome.piece import Piece

OFF_PLANE_M = 0.005
UPRIGHT_RAD = math.radians(0.5)
IN_LINE = 0.02  # a pattern flatter than this share of its length is a line


def hang_warnings(
    piece: Piece, result: HangResult, centres: np.ndarray, anchors: np.ndarray, shear: np.ndarray | None
) -> tuple[str, ...]:
    """Sentences about the wall, the pattern and the centre of mass.

    Parameters
    ----------
    centres : ndarray (c, 3)
        Centre of mass at every corner, in wall axes: right, up in the wall, along its normal.
    anchors : ndarray (n, 3)
        Right and up in the wall, off the wall.
    shear : ndarray (c, n, 2) or None
    """
    lines = [*_wall(result), *_pattern(piece, result, centres, anchors), *_span(result, centres, anchors, shear)]
    away = anchors[:, 2]  # between the wall and the skin is where an anchor belongs
    off = [a.name for a, s in zip(result.anchors, away, strict=True) if not -OFF_PLANE_M <= s <= a.gap_m + OFF_PLANE_M]
    if off:
        lines.append(
            f"{_list(off)} {_be(off)} more than {1e3 * OFF_PLANE_M:.0f} mm off the line between wall and skin: taken "
            "where the line square to the wall meets them."
        )
    asked = piece.site.hang
    if asked is not None and asked.factor:
        lines.append(
            f"hang.factor = {asked.factor!r} is a factor for lifting and was not used: give hang.factor_value with the "
            "reference of whoever designs the hang."
        )
    lines += [f"{line[:1].upper()}{line[1:]}." for line in result.lost]
    if len(result.anchors) > 1:
        lines += [gone.words for gone in result.one_gone if not gone.stays]
    if piece.open_ends:
        lines.append(
            "The outline counts openings as closed by their flat caps; wind that can blow in is not in the areas."
        )
    return tuple(lines)


def _wall(result: HangResult) -> list[str]:
    degrees = math.degrees(result.tilt_rad)
    if abs(result.tilt_rad) <= UPRIGHT_RAD:
        return []
    if degrees < 0:
        return [
            f"The wall overhangs by {-degrees:.1f} degrees: {math.sin(-result.tilt_rad):.0%} of the weight pulls "
            "straight at the anchors, whatever their pattern."
        ]
    return [
        f"The wall leans back by {degrees:.1f} degrees: part of the weight lies on it and is counted against the pull. "
        "If the piece may slide or be lifted, have the anchors designed for an upright wall as well."
    ]


def _pattern(piece: Piece, result: HangResult, centres: np.ndarray, anchors: np.ndarray) -> list[str]:
    names = [anchor.name for anchor in result.anchors]
    if len(names) == 1:
        aside = centres[0, 0] - anchors[0, 0]
        drop = anchors[0, 1] - centres[0, 1]
        lines = [f"{names[0]} is the only anchor: there is nothing left when it fails."]
        if drop <= 0:
            lines.append("The centre of mass is above that one anchor: the piece turns over about it.")
        elif abs(aside) > 1e-4:
            turn = math.degrees(math.atan2(abs(aside), drop))
            lines.append(
                f"The centre of mass is {1e3 * abs(aside):.0f} mm beside that one anchor: the piece turns by "
                f"{turn:.1f} degrees until it hangs below it."
            )
        return lines
    lines = []
    spread = np.linalg.svd(anchors[:, :2] - anchors[:, :2].mean(axis=0))[1]
    if spread[0] < 1e-6:
        return ["All anchors are in one place: they are one anchor."]
    if len(spread) < 2 or spread[1] < IN_LINE * spread[0]:
        way = np.ptp(anchors[:, 0]) >= np.ptp(anchors[:, 1])
        if way:
            held = (
                "only the lower edge bearing on the wall keeps the piece from swinging out. Secure the lower edge, or "
                "add an anchor below the line."
                if result.pivot_m is not None
                else "and the piece stands off the wall, so nothing keeps it from swinging out. Add an anchor below."
            )
            lines.append(f"All anchors are in one level line: {held}")
        else:
            lines.append(
                "All anchors are in one upright line: nothing but friction and bearing keeps the piece from turning "
                "about it in wind or when it is pushed. Add an anchor beside the line."
            )
    return lines


def _span(result: HangResult, centres: np.ndarray, anchors: np.ndarray, shear: np.ndarray | None) -> list[str]:
    lines = []
    if not result.in_balance:
        lines.append(
            "NOT IN BALANCE: these anchors cannot hold the piece as it is meant to hang; the loads below are not a "
            "design. Add an anchor, or let the lower edge bear on the wall."
        )
    low, high = anchors[:, 0].min(), anchors[:, 0].max()
    beside = max(float((low - centres[:, 0]).max()), float((centres[:, 0] - high).max()))
    if len(anchors) > 1 and beside > 1e-4:
        words = f"The centre of mass is {1e3 * beside:.0f} mm outside the anchors' span, sideways."
        if shear is not None:
            lifted = [a.name for a, v in zip(result.anchors, shear[0, :, 1], strict=True) if v > 0]
            if lifted:
                words += f" {_list(lifted)} {_be(lifted)} pushed upwards, so others carry more than the whole weight."
        lines.append(words)
    if len(anchors) > 1 and centres[:, 1].max() > anchors[:, 1].max():
        lines.append(
            f"The centre of mass is {1e3 * (centres[:, 1].max() - anchors[:, 1].max()):.0f} mm above the highest "
            "anchor: the piece is held from turning over by the anchors' pull alone. Anchor it higher if you can."
        )
    if result.pivot_m is not None:
        below = [a.name for a in result.anchors if a.on_wall_m[1] <= result.pivot_m]
        if below:
            lines.append(
                f"{_list(below)} {_be(below)} below all that bears on the wall: no pull is counted there then."
            )
    return lines


def _list(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _be(names: list[str]) -> str:
    return "is" if len(names) == 1 else "are"
