"""``pourwright float``: the piece on the water."""

from __future__ import annotations

from pourwright.cli.answers import DrawnOptions, answer

NAME = "float"


def run(options: DrawnOptions) -> int:
    """Draft, trim, stability, reserve and required flotation of a hull or float.

    Works from a plan that is already made. Writes float.md and float.png into its folder.

    Exit code 1: refused; 3: not all could be checked.
    """
    from pourwright.answers.drawn.files import draw_float
    from pourwright.answers.float_page import float_page
    from pourwright.water import afloat

    return answer(
        NAME,
        options,
        lambda piece, surface: afloat(piece, surface()),
        float_page,
        draw_float,
    )
