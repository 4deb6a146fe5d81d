"""``pourwright stand``: how far a standing piece may lean."""

from __future__ import annotations

from pourwright.cli.answers import DrawnOptions, answer

NAME = "stand"


def run(options: DrawnOptions) -> int:
    """Angle and push that tip a standing piece over, empty, after every lift and finished.

    Works from a plan that is already made. Writes stand.md and stand.png into its folder.

    Exit code 1: refused; 3: not all could be checked.
    """
    from pourwright.answers.answer_pages import stand_page
    from pourwright.answers.drawn.files import draw_stand
    from pourwright.outcome import stand

    return answer(
        NAME,
        options,
        lambda piece, surface: stand(piece, surface()),
        stand_page,
        draw_stand,
    )
