"""From a job file, or a shell file and a few words, to a ``Job``; every error names the offending key."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.intake.cup_words import said_cup
    from pourwright.intake.job import job_from_shell, read_job
    from pourwright.intake.jobfile import JobFile
    from pourwright.intake.piece import UP_TAKEN
    from pourwright.intake.toml_text import parse_value
else:
    __getattr__ = offered(__name__)

__all__ = ["UP_TAKEN", "JobFile", "job_from_shell", "parse_value", "read_job", "said_cup"]
