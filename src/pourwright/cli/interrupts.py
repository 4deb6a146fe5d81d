"""Ctrl-C, remembered.

Raised wherever it comes, an interrupt can be swallowed by a library (while it is imported, in a destructor) or end the
process in the middle of compiled code. It is therefore only noted when it comes, and raised the next time the work
tells how far it is; a second Ctrl-C is raised at once.
"""

from __future__ import annotations

import signal
import sys
import threading
from types import FrameType, TracebackType

BROKEN_OFF = 130
"""Exit code after Ctrl-C, as shells have it."""


class Interrupts:
    """While active, Ctrl-C cannot get lost."""

    def __init__(self) -> None:
        self.seen = False
        self._ours = False

    def __enter__(self) -> Interrupts:
        self.seen = False
        self._ours = (
            threading.current_thread() is threading.main_thread()
            and signal.getsignal(signal.SIGINT) is signal.default_int_handler
        )
        if self._ours:
            signal.signal(signal.SIGINT, self._remember)
            self._hook = sys.unraisablehook
            sys.unraisablehook = self._quiet
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._ours:
            signal.signal(signal.SIGINT, signal.default_int_handler)
            sys.unraisablehook = self._hook

    def check(self) -> None:
        """Raise the interrupt again if one was seen."""
        if self.seen:
            raise KeyboardInterrupt

    def _remember(self, number: int, frame: FrameType | None) -> None:
        if self.seen:
            raise KeyboardInterrupt
        self.seen = True

    def _quiet(self, unraisable: sys.UnraisableHookArgs) -> None:
        if not isinstance(unraisable.exc_value, KeyboardInterrupt):
            self._hook(unraisable)


INTERRUPTS = Interrupts()
"""Those of this process; ``main`` makes them active."""
