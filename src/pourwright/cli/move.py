"""``pourwright move``: the finished piece on its way from the bench to its place."""

from __future__ import annotations

from pourwright.cli.answers import Options, answer

NAME = "move"


def run(options: Options) -> int:
    """Turn the finished piece on two hooks step by step; spreader bar, shackles, cradle and crate.

    Works from a plan that is already made. Writes move.md into its folder.

    Exit code 1: refused; 3: not all could be checked.
    """
    from pourwright.answers.move_page import move_page
    from pourwright.moving import move

    return answer(
        NAME,
        options,
        lambda piece, surface: move(piece, surface()),
        move_page,
        None,
    )
