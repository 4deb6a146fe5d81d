"""What is odd about the way a piece hangs."""

from __future__ import annotations

import math

import numpy as np

from pourwright.findings import Code, Finding, finding
from pourwright.hanging.hang_model import HangResult
from pourwright.outcome import Piece

OFF_PLANE_M = 0.005
UPRIGHT_RAD = math.radians(0.5)
IN_LINE = 0.02  # a pattern flatter than this share of its length is a line


def hang_warnings(
    piece: Piece, result: HangResult, centres: np.ndarray, anchors: np.ndarray, shear: np.ndarray | None
) -> tuple[Finding, ...]:
    """What there is to tell of the wall, the pattern and the centre of mass.

    Parameters
    ----------
    centres : ndarray (c, 3)
        Centre of mass at every corner, in wall axes: right, up in the wall, along its normal.
    anchors : ndarray (n, 3)
        Right and up in the wall, off the wall.
    shear : ndarray (c, n, 2) or None
    """
    lines = [*_wall(result), *_pattern(result, centres, anchors), *_span(result, centres, anchors, shear)]
    away = anchors[:, 2]  # between the wall and the skin is where an anchor belongs
    off = [a.name for a, s in zip(result.anchors, away, strict=True) if not -OFF_PLANE_M <= s <= a.gap_m + OFF_PLANE_M]
    if off:
        lines.append(finding(Code.ANCHORS_OFF_LINE, *off, by_m=OFF_PLANE_M))
    asked = piece.site.hang
    if asked is not None and asked.factor:
        lines.append(finding(Code.FACTOR_FOR_LIFTING, asked.factor))
    lines += [finding(Code.DOES_NOT_STAY, words=line) for line in result.lost]
    if len(result.anchors) > 1:
        lines += [
            finding(Code.DOES_NOT_STAY, words=gone.words.removesuffix("."))
            for gone in result.one_gone
            if not gone.stays
        ]
    if piece.open_ends:
        lines.append(finding(Code.OPENINGS_IN_WIND))
    return tuple(lines)


def _wall(result: HangResult) -> list[Finding]:
    if abs(result.tilt_rad) <= UPRIGHT_RAD:
        return []
    code = Code.WALL_OVERHANGS if result.tilt_rad < 0 else Code.WALL_LEANS_BACK
    return [finding(code, tilt_rad=abs(result.tilt_rad))]


def _pattern(result: HangResult, centres: np.ndarray, anchors: np.ndarray) -> list[Finding]:
    names = [anchor.name for anchor in result.anchors]
    if len(names) == 1:
        aside = float(abs(centres[0, 0] - anchors[0, 0]))
        drop = float(anchors[0, 1] - centres[0, 1])
        lines = [finding(Code.ONLY_ANCHOR, names[0])]
        if drop <= 0:
            lines.append(finding(Code.CENTRE_ABOVE_ONLY_ANCHOR, names[0]))
        elif aside > 1e-4:
            lines.append(
                finding(Code.CENTRE_BESIDE_ONLY_ANCHOR, names[0], aside_m=aside, turn_rad=math.atan2(aside, drop))
            )
        return lines
    spread = np.linalg.svd(anchors[:, :2] - anchors[:, :2].mean(axis=0))[1]
    if spread[0] < 1e-6:
        return [finding(Code.ANCHORS_IN_ONE_PLACE)]
    if len(spread) < 2 or spread[1] < IN_LINE * spread[0]:
        if np.ptp(anchors[:, 0]) >= np.ptp(anchors[:, 1]):
            return [finding(Code.ANCHORS_IN_LEVEL_LINE, bears=float(result.pivot_m is not None))]
        return [finding(Code.ANCHORS_IN_UPRIGHT_LINE)]
    return []


def _span(result: HangResult, centres: np.ndarray, anchors: np.ndarray, shear: np.ndarray | None) -> list[Finding]:
    lines = []
    if not result.in_balance:
        lines.append(finding(Code.NOT_IN_BALANCE))
    low, high = anchors[:, 0].min(), anchors[:, 0].max()
    beside = max(float((low - centres[:, 0]).max()), float((centres[:, 0] - high).max()))
    if len(anchors) > 1 and beside > 1e-4:
        up = [] if shear is None else [a.name for a, v in zip(result.anchors, shear[0, :, 1], strict=True) if v > 0]
        lines.append(finding(Code.CENTRE_OUTSIDE_SPAN, *up, beside_m=beside))
    over = float(centres[:, 1].max() - anchors[:, 1].max())
    if len(anchors) > 1 and over > 0:
        lines.append(finding(Code.CENTRE_ABOVE_ANCHORS, over_m=over))
    if result.pivot_m is not None:
        below = [a.name for a in result.anchors if a.on_wall_m[1] <= result.pivot_m]
        if below:
            lines.append(finding(Code.ANCHORS_BELOW_BEARING, *below))
    return lines
