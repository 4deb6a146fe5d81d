"""How dense the foam of a shot is, on a picture and on the page: the same values, between those near and far."""

import base64

import numpy as np
import pytest
import trimesh
from matplotlib import image
from tests.shot.conftest import JOB

from pourwright.draw.charts import draw_charts
from pourwright.draw.maps.density import density_behind
from pourwright.draw.piece_fields import skin_fields
from pourwright.intake import read_job
from pourwright.plan import make_plan


@pytest.fixture(scope="module")
def tank(tmp_path_factory):
    folder = tmp_path_factory.mktemp("tank")
    mesh = trimesh.creation.box((1.2, 0.5, 0.3))
    mesh.apply_translation((0.6, 0.25, 0.15))
    mesh.subdivide_to_size(0.1).export(folder / "part.ply")
    (folder / "job.toml").write_text(JOB.format(cell="20 mm"), encoding="utf-8")
    return make_plan(read_job(folder / "job.toml", {}))


def ends(plan):
    ports = [port for flow in plan.shot.flows for port in flow.ports]
    return min(p.far_density_kg_m3 for p in ports), max(p.near_density_kg_m3 for p in ports)


def test_foam_behind_the_skin_is_as_dense_as_between_port_and_end(tank):
    low, high = ends(tank)
    landed = [one.point_m for pour in tank.lift_plan.lifts[0].pours for one in pour.landings]
    last = [port.last_point_m for flow in tank.shot.flows for port in flow.ports]
    near, far, outside = (
        density_behind(tank, tank.frame.to_standing(np.array(places))) for places in (landed, last, [[0.6, 0.25, 2.0]])
    )
    assert near.max() == pytest.approx(high, rel=1e-6)
    assert far.min() == pytest.approx(low, rel=1e-6)
    assert np.isnan(outside).all()


def test_page_shows_the_densities_of_the_plan(tank):
    points = tank.frame.to_standing(tank.skin.vertices_m)
    (field,) = (one for one in skin_fields(tank, points)["fields"] if one["key"] == "density")
    places = np.frombuffer(base64.b64decode(field["values"]), np.uint8)
    ticks = [(where, float(words.split()[0])) for where, words in field["ticks"]]
    shown = np.interp(places / 254, [where for where, _ in ticks], [value for _, value in ticks])
    assert np.abs(shown - density_behind(tank, points)).max() < 0.01 * (ticks[-1][1] - ticks[0][1])
    assert "kg/m³" in field["said"][0]
    assert "lb/ft³" in field["said"][0]


def test_picture_of_the_densities_is_drawn_for_a_shot(tank, tmp_path):
    (path,) = (one for one in draw_charts(tank, tmp_path) if one.name == "flow.png")
    picture = image.imread(path)
    assert picture.shape[1] == pytest.approx(7.1 * 238, abs=1)
    assert len(np.unique((255 * picture[..., :3]).astype(int).reshape(-1, 3), axis=0)) > 50
