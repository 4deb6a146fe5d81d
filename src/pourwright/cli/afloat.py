"""``pourwright float``: the piece on the water."""

from __future__ import annotations

from pourwright.cli.answers import Files, OtherJob, Pictures, PlanFolder, ShellFile, answer
from pourwright.cli.options import Debug, Json

NAME = "float"


def run(
    plan: PlanFolder,
    job: OtherJob = None,
    shell: ShellFile = None,
    files: Files = True,
    pictures: Pictures = True,
    as_json: Json = False,
    debug: Debug = False,
) -> int:
    """Draft, trim, stability, reserve and required flotation of a hull or float.

    Works from a plan that is already made. Writes float.md and float.png into its folder. Exit code 1: refused.
    """
    from pourwright.draw.answers.files import draw_float
    from pourwright.outcome import afloat
    from pourwright.report.float_page import float_page

    return answer(
        NAME,
        plan,
        job,
        shell,
        lambda piece, surface: afloat(piece, surface()),
        float_page,
        draw_float,
        files=files,
        pictures=pictures,
        as_json=as_json,
    )
