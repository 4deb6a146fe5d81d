"""The command line: one file a command, no arithmetic."""

from pourwright.cli.app import main

__all__ = ["main"]
