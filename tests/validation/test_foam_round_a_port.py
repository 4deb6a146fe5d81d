"""How dense foam is that spreads round a port, by hand: the mean of 1 - r2/R2 over a disc, and the mass shot."""

import numpy as np
import pytest
from tests.shot.conftest import JOB
from trimesh.creation import cylinder

from pourwright.intake import read_job
from pourwright.plan import make_plan


@pytest.fixture
def disc(tmp_path):
    """A flat round tank of two metres, 5 mm of wall and 90 mm of gap, shot through its middle."""
    mesh = cylinder(1.005, 0.1, sections=96)
    mesh.apply_translation((0, 0, 0.05))
    mesh.export(tmp_path / "part.ply")
    port = '[[port]]\nat = ["0 m", "0 m", "100 mm"]\n'
    limit = '[limits]\nflow_distance = "1.5 m"\n'
    (tmp_path / "job.toml").write_text(JOB.format(cell="15 mm") + port + limit, encoding="utf-8")
    return make_plan(read_job(tmp_path / "job.toml", {}))


def test_field_of_density_holds_the_mass_shot_and_falls_as_the_square_of_the_way(disc):
    """Round a port there is more foam far off than in a strip: of 1 - r2/R2 the mean over a disc is a half."""
    (flow,) = disc.shot.flows
    (port,) = flow.ports
    field = flow.field
    assert field.density_kg_m3.mean() == pytest.approx(flow.density_kg_m3, rel=2e-3)  # cells are whole but at the rim
    near, far = port.near_density_kg_m3, port.far_density_kg_m3
    assert (flow.density_kg_m3 - far) / (near - far) == pytest.approx(0.5, abs=0.05)
    radius = np.linalg.norm(field.points_m[:, :2], axis=1)
    slope = np.polyfit(radius**2, field.density_kg_m3, 1)
    assert slope[0] == pytest.approx(-(near - far), rel=0.1)  # over R2, a square metre
    spread = field.density_kg_m3 - np.polyval(slope, radius**2)
    longest = 1.0 / np.cos(np.pi / 8)  # of a way over eight neighbours, by the straight one
    assert np.abs(spread).max() < (1.0 - longest**-2) * (near - far)
