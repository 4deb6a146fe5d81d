"""``pourwright weights``: the weight record, item by item and stage by stage."""

from __future__ import annotations

from pourwright.cli.answers import Files, Options, OtherJob, PlanFolder, answer
from pourwright.cli.options import Debug, Json

NAME = "weights"


def run(
    plan: PlanFolder, job: OtherJob = None, files: Files = True, as_json: Json = False, debug: Debug = False
) -> int:
    """Every weight with its range and reason, centre of mass and inertia before, during and after filling.

    Works from a plan that is already made. Writes weights.md into its folder.
    """
    from pourwright.answers.answer_pages import weights_page
    from pourwright.outcome import weigh

    options = Options(plan, job, files=files, as_json=as_json)
    return answer(NAME, options, lambda piece, surface: weigh(piece.parts, piece.lined), weights_page, None)
