"""Which functions of the package run when a small piece is planned and a pour of it recorded.

    python tests/trace_of_a_plan.py FOLDER      writes FOLDER/called.json: module:function, sorted

Run as a process of its own, so that nothing is answered from a cache that an earlier plan has filled.
"""

import json
import sys
import threading
from pathlib import Path

import trimesh

SHEET = (
    'foam.sheet.reference="made up"',
    'foam.sheet.density="52 kg/m^3"',
    "foam.sheet.nco=31.5 %",
    "foam.sheet.water=2.3 %",
)
COARSE = "heat.cells=2000", 'grid.cell="10 mm"'
HOT = 'heat.caution="80 degC"', 'heat.stop="92 degC"'  # which no day of the ball keeps
COOL = ('shop.air="18 degC"', 'shop.parts="18 degC"', 'shop.skin="18 degC"')


def main(folder):
    ball = folder / "ball.stl"
    trimesh.creation.icosphere(subdivisions=2, radius=200.0).export(ball)
    called = set()

    def note(frame, event, _):
        module = frame.f_globals.get("__name__", "")
        if event == "call" and module.startswith("pourwright"):
            called.add(f"{module}:{frame.f_code.co_name}")

    from pourwright.cli import main as pourwright

    settings = [word for setting in (*SHEET, *COARSE, *COOL, "day.search=false") for word in ("--set", setting)]
    shell = (
        "--unit",
        "mm",
        "--wall",
        "5 mm",
        "--foam",
        "rigid-3",
        "--no-pictures",
        "--quiet",
    )
    threading.setprofile(note)
    sys.setprofile(note)
    planned = pourwright([str(word) for word in ("plan", ball, *shell, *settings, "--out", folder / "plan")])
    search = [word for setting in ("day.search=true", COARSE[1], *COOL) for word in ("--set", setting)]
    searched = pourwright([str(w) for w in ("plan", ball, *shell, "--quick", *search, "--out", folder / "searched")])
    hot = [word for setting in HOT for word in ("--set", setting)]
    over = pourwright([str(w) for w in ("plan", ball, *shell, "--quick", *search, *hot, "--out", folder / "over")])
    recorded = pourwright(
        ["record", str(folder / "plan"), "--pour", "1a", "--as-planned", "--full", "--no-pictures", "-q"]
    )
    sys.setprofile(None)
    (folder / "called.json").write_text(
        json.dumps({"codes": [planned, searched, over, recorded], "called": sorted(called)})
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]))
