"""The sheets of the installer's pages; the drawing code is loaded only when one is drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL import Image

    from pourwright.hanging import HangResult
    from pourwright.outcome import Piece, SlingResult, StandResult, Surface
    from pourwright.water import FloatResult


def draw_hang(piece: Piece, result: HangResult, surface: Surface, made: str) -> Image.Image:
    """Forces on a hanging piece."""
    from pourwright.answers.drawn.hang import hang_sheet

    return hang_sheet(piece, result, surface, made)


def draw_sling(piece: Piece, result: SlingResult, surface: Surface, made: str) -> Image.Image:
    """Forces on a slung piece."""
    from pourwright.answers.drawn.sling import sling_sheet

    return sling_sheet(piece, result, surface, made)


def draw_stand(piece: Piece, result: StandResult, surface: Surface, made: str) -> Image.Image:
    """A standing piece and the ground it covers."""
    from pourwright.answers.drawn.stand import stand_sheet

    return stand_sheet(piece, result, surface, made)


def draw_float(piece: Piece, result: FloatResult, surface: Surface, made: str) -> Image.Image:
    """A hull at its waterline."""
    from pourwright.answers.drawn.afloat import float_sheet

    return float_sheet(piece, result, surface, made)
