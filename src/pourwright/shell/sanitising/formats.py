"""The guard of each format, by file ending."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from pourwright.shell.sanitising.budget import Budget
from pourwright.shell.sanitising.expect import Sanitised
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
