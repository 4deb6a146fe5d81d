"""Ctrl-C, remembered: some libraries swallow it while they are being imported and break later in odd ways."""

from __future__ import annotations

import signal
import threading
from types import FrameType, TracebackType


class Interrupts:
    """While active, ``seen`` tells whether Ctrl-C was pressed, however the interrupt was then treated."""

    def __init__(self) -> None:
        self.seen = False

    def __enter__(self) -> Interrupts:
        self._ours = (
            threading.current_thread() is threading.main_thread()
            and signal.getsignal(signal.SIGINT) is signal.default_int_handler
        )
        if self._ours:
            signal.signal(signal.SIGINT, self._remember)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._ours:
            signal.signal(signal.SIGINT, signal.default_int_handler)

    def _remember(self, number: int, frame: FrameType | None) -> None:
        self.seen = True
        raise KeyboardInterrupt
