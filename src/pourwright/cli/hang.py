"""``pourwright hang``: loads on wall anchors, one page for the engineer."""

from __future__ import annotations

from pourwright.cli.answers import Files, OtherJob, Pictures, PlanFolder, ShellFile, answer
from pourwright.cli.options import Debug, Json

NAME = "hang"


def run(
    plan: PlanFolder,
    job: OtherJob = None,
    shell: ShellFile = None,
    files: Files = True,
    pictures: Pictures = True,
    as_json: Json = False,
    debug: Debug = False,
) -> int:
    """Loads on the anchors of a piece that hangs on a wall, and what happens when one fails.

    Works from a plan that is already made. Writes hang.md and hang.png into its folder. Exit code 1: refused.
    """
    from pourwright.draw.answers.files import draw_hang
    from pourwright.outcome import hang
    from pourwright.report.hang_page import hang_page

    return answer(
        NAME,
        plan,
        job,
        shell,
        lambda piece, surface: hang(piece, surface()),
        hang_page,
        draw_hang,
        files=files,
        pictures=pictures,
        as_json=as_json,
    )
