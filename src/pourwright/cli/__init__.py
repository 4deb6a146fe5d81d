"""The command line: one file a command, no arithmetic."""

from pourwright.cli.start import main

__all__ = ["main"]
