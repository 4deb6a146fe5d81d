"""The words of suggested places: how much better they are, where they are, and lines to copy into the job."""

from __future__ import annotations

import math

from pourwright import units
from pourwright.answers.page import Page, Rows, Section
from pourwright.hanging import Suggestion
from pourwright.outcome import Piece
from pourwright.wording.findings import sentences
from pourwright.wording.hang import OUTSIDE, unchecked_lines


def suggest_page(piece: Piece, result: Suggestion, made: str) -> Page:
    """Suggested places for the installer."""
    sections = (
        Section("Found", _found(piece, result)),
        Section("Places, facing the wall", (), _places(result)),
        Section("Values for the job", (_COPY,), _toml(result)),
        Section("Not checked", (*unchecked_lines(result.result), OUTSIDE)),
    )
    return Page(
        piece.name, piece.place, "suggested places for the anchors", sections, sentences(result.result.warnings), made
    )


_COPY = (
    "Put these measures into [[anchor]] tables with the first anchor's insert, rod and ratings, and give hang again: "
    "its page has every case and check."
)


def _found(piece: Piece, result: Suggestion) -> tuple[str, ...]:
    like = piece.site.anchors[0].name
    count = len(result.anchors)
    lines = [
        f"{count} anchors like {like} use {use_words(result.utilisation)} at most, with any one gone; "
        f"{result.result.governing or 'no limit is given, so the largest load was minimised'}.",
    ]
    if math.isinf(result.before):
        lines.append("The job's own anchors are refused: off the piece, too deep, or it does not stay without one.")
    elif not math.isnan(result.before):
        lines.append(f"The job's own {len(piece.site.anchors)} anchors use {use_words(result.before)}.")
    mirrored = "; the piece is the same left and right, and so are they" if result.mirrored else ""
    lines.append(
        f"Exact on {result.candidates} places {units.length(result.spacing_m)} apart: of {result.compared} sets "
        f"{result.solved} were solved in full and the others cannot be better; then each place was "
        f"moved in steps down to {units.length(0.005)}{mirrored}. Places finer than that may be better still."
    )
    if not result.known:
        lines.append(
            "NOT ALL IS KNOWN THERE: places at which as much is known as anywhere have no set within its limits, so "
            "others were taken too; what is not checked at them is on the page of pourwright hang."
        )
    if result.utilisation > 1:
        lines.append("STILL OVER A LIMIT: give more anchors, a stronger one, or a longer or wider insert.")
    return tuple(lines)


def use_words(value: float) -> str:
    """How much of a limit is used.

    >>> use_words(0.5), use_words(float("nan"))
    ('50 % of a limit', 'an unknown share of a limit')
    """
    return f"{units.share(value)} of a limit" if math.isfinite(value) else "an unknown share of a limit"


def _places(result: Suggestion) -> Rows:
    heads = ("anchor", "from the left", "up", "gap", "foam", "beside")
    return Rows(
        heads,
        tuple(
            (
                load.name,
                units.tape(float(load.place_m[0])),
                units.tape(float(load.place_m[2])),
                units.tape(load.gap_m),
                units.tape(load.foam_depth_m),
                units.tape(load.edge_m),
            )
            for load in result.result.anchors
        ),
    )


def _toml(result: Suggestion) -> Rows:
    rows = tuple(
        (
            f'"{a.name}"',
            f'"{1e3 * (a.spot.from_left_m or 0.0):.0f} mm"',
            f'"{1e3 * (a.spot.from_base_m or 0.0):.0f} mm"',
        )
        for a in result.anchors
    )
    return Rows(("name", "from_left", "from_base"), rows)
