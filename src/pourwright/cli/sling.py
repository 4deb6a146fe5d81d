"""``pourwright sling``: the piece on the hook at every stage of filling."""

from __future__ import annotations

from pourwright.cli.answers import DrawnOptions, answer

NAME = "sling"


def run(options: DrawnOptions) -> int:
    """Tilt and leg tensions of a slung piece, empty, after every lift and finished.

    Works from a plan that is already made. Writes sling.md and sling.png into its folder.

    Exit code 1: refused; 3: not all could be checked.
    """
    from pourwright.answers.answer_pages import sling_page
    from pourwright.answers.drawn.files import draw_sling
    from pourwright.outcome import sling

    return answer(
        NAME,
        options,
        lambda piece, surface: sling(piece),
        sling_page,
        draw_sling,
    )
