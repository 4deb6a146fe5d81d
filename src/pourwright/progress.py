"""How long work tells how far it is, without knowing who listens."""

from __future__ import annotations

from typing import Protocol


class Progress(Protocol):
    """Called with the name of the step and the share of it that is done (0 to 1)."""

    def __call__(self, step: str, done: float) -> None:
        """Tell."""


def silent(step: str, done: float) -> None:
    """A listener that says nothing."""
