"""The guard at the door: what a shell file claims is checked, and rewritten plainly, before any reader sees it.

Readers trust headers, follow references and unpack archives. So each format is looked at first: counts against the
bytes that are there, references against the file's own folder, archives against their unpacked size, and all of it
against what a file of that size may ask for (`budget`). What the reader then gets holds points and triangles only.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from pourwright.shell.sanitising.budget import MEMORY_BYTES, MEMORY_BYTES_PER_TRIANGLE, Budget
from pourwright.shell.sanitising.expect import Expect, Guarded
from pourwright.shell.sanitising.gltf import guard_glb, guard_gltf
from pourwright.shell.sanitising.ply import guard_ply
from pourwright.shell.sanitising.stl import guard_stl
from pourwright.shell.sanitising.text import guard_obj, guard_off
from pourwright.shell.sanitising.threemf import guard_3mf

GUARDS: dict[str, Callable[[str, bytes, Path, Budget], Guarded]] = {
    "stl": guard_stl,
    "obj": guard_obj,
    "off": guard_off,
    "ply": guard_ply,
    "glb": guard_glb,
    "gltf": guard_gltf,
    "3mf": guard_3mf,
}
"""By file ending; each takes the file's name, its bytes, its folder, and how much it may ask for."""

__all__ = ["GUARDS", "MEMORY_BYTES", "MEMORY_BYTES_PER_TRIANGLE", "Budget", "Expect", "Guarded"]
