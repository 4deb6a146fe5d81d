"""The guard at the door: what a shell file claims is checked, and rewritten plainly, before any reader sees it.

Readers trust headers, follow references and unpack archives. So each format is looked at first: counts against the
bytes that are there, references against the file's own folder, archives against their unpacked size, and all of it
against what a file of that size may ask for (`budget`). What the reader then gets holds points and triangles only.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from pourwright.shell.sanitising.budget import MEMORY_BYTES, MEMORY_BYTES_PER_TRIANGLE, Budget
from pourwright.shell.sanitising.expect import Expect, Sanitised
from pourwright.shell.sanitising.gltf import sanitise_glb, sanitise_gltf
from pourwright.shell.sanitising.ply import sanitise_ply
from pourwright.shell.sanitising.stl import sanitise_stl
from pourwright.shell.sanitising.text import sanitise_obj, sanitise_off
from pourwright.shell.sanitising.threemf import sanitise_3mf

SANITISERS: dict[str, Callable[[str, bytes, Path, Budget], Sanitised]] = {
    "stl": sanitise_stl,
    "obj": sanitise_obj,
    "off": sanitise_off,
    "ply": sanitise_ply,
    "glb": sanitise_glb,
    "gltf": sanitise_gltf,
    "3mf": sanitise_3mf,
}
"""By file ending; each takes the file's name, its bytes, its folder, and how much it may ask for."""

__all__ = ["MEMORY_BYTES", "MEMORY_BYTES_PER_TRIANGLE", "SANITISERS", "Budget", "Expect", "Sanitised"]
