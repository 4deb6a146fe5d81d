"""Makes the pictures of the documentation from the demo pieces: ``python docs/make_pictures.py``."""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from pourwright.cli import main

DOCS = Path(__file__).resolve().parent
DEMOS = DOCS.parent / "demo_shells"


def make():
    pictures = DOCS / "pictures"
    pictures.mkdir(exist_ok=True)
    for job in sorted(DEMOS.glob("*/job.toml")):
        with tempfile.TemporaryDirectory() as folder:
            if main(["plan", str(job), "--out", str(Path(folder) / "plan"), "--quiet"]):
                return 1
            shutil.copy(Path(folder) / "plan" / "overview.png", pictures / f"{job.parent.name}_overview.png")
    return 0


if __name__ == "__main__":
    sys.exit(make())
