"""The guard of each format, by file ending."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from pourwright.sanitising.budget import Budget
from pourwright.sanitising.expect import Sanitised
from pourwright.sanitising.gltf import sanitise_glb, sanitise_gltf
from pourwright.sanitising.ply import sanitise_ply
from pourwright.sanitising.stl import sanitise_stl
from pourwright.sanitising.text import sanitise_obj, sanitise_off
from pourwright.sanitising.threemf import sanitise_3mf

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
