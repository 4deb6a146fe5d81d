"""What a plan was made with, so that the same input can be shown to give the same plan."""

from __future__ import annotations

import hashlib
from importlib.metadata import version

from pourwright.plan.model import Job
from pourwright.shell import Skin
from pourwright.version import VERSION

LIBRARIES = ("numpy", "scipy", "numba", "trimesh", "edt", "vtk")


def provenance_of(job: Job, skin: Skin) -> dict[str, str]:
    """Program and library versions, and the hashes of what went in (no clock, no machine, no path)."""
    asked = repr([value for key, value in sorted(vars(job).items()) if key != "shell"])
    libraries = ", ".join(f"{name} {version(name)}" for name in LIBRARIES)
    return {
        "program": f"pourwright {VERSION}",
        "libraries": libraries,
        "shell_sha256": skin.sha256,
        "job_sha256": hashlib.sha256(asked.encode()).hexdigest(),
    }
