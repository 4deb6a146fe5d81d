import json

import pytest
import trimesh

from pourwright.document.plan_json import plan_json
from pourwright.intake import read_job
from pourwright.plan import make_plan

JOB = """
[piece]
shell = "part.ply"
unit = "m"
material = "polyethylene"
[wall]
thickness = "5 mm"
[foam]
grade = "rigid-2"
[grid]
cell = "{cell}"
[shop.machine]
output = "0.6 kg/s"
[heat]
computed = false
"""
SERIES = """
[series]
parts = 12
foam_price = 4.5
labour_price = 30
"""


@pytest.fixture
def shoot(tmp_path):
    """Plans a mesh as one shot and gives the document; ``more`` goes into the job, ``**settings`` over its keys."""

    def run(mesh: trimesh.Trimesh, cell="20 mm", more=SERIES, settings=None):
        mesh.export(tmp_path / "part.ply")
        (tmp_path / "job.toml").write_text(JOB.format(cell=cell) + more, encoding="utf-8")
        plan = make_plan(read_job(tmp_path / "job.toml", settings or {}))
        return json.loads(plan_json(plan))

    return run
