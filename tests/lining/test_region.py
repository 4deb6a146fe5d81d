import numpy as np
import pytest
import trimesh

from pourwright.lining import region_of


def test_a_neck_where_coats_would_meet_is_solid_and_both_ends_stay_hollow(shell_of, two_balls):
    skin, cavity = shell_of(two_balls(0.06), 0.005, 0.008)
    region, solids = region_of(skin, cavity, 0.04)
    assert region.shut_m3 > 0  # a bore of 30 mm would be left by the thickness alone
    assert len(solids.chambers) == 2
    (place,) = solids.places
    assert np.linalg.norm(place.point_m - [0, 0, 0.5]) < 0.05
    assert place.bottom_m < 0.6 < 0.9 < place.top_m


def test_a_wide_neck_stays_hollow(shell_of, two_balls):
    skin, cavity = shell_of(two_balls(0.11), 0.005, 0.008)
    region, solids = region_of(skin, cavity, 0.03)
    assert len(solids.chambers) == 1
    assert not solids.places
    assert region.shut_m3 == pytest.approx(0.0, abs=1e-6)


def test_corners_of_a_box_are_no_solid_places(shell_of):
    skin, cavity = shell_of(trimesh.creation.box((0.8, 0.6, 0.5)), 0.005, 0.01)
    region, solids = region_of(skin, cavity, 0.05)
    assert not solids.places
    assert region.hollow_m3 == pytest.approx(0.69 * 0.49 * 0.39, rel=1e-3)


def test_a_mesh_with_both_faces_is_lined_from_its_inner_face(tmp_path):
    from pourwright.cavity import build_cavity, pour_frame
    from pourwright.shell import load_skin, skin_material

    inner = trimesh.creation.icosphere(4, 0.29)
    inner.invert()
    path = tmp_path / "wall.ply"
    trimesh.util.concatenate([trimesh.creation.icosphere(4, 0.3), inner]).export(path)
    skin = load_skin(path, unit="m", material=skin_material("grp"))
    frame = pour_frame(skin.vertices_m, np.array([0.0, 0, 1]), np.array([0.0, -1, 0]))
    region, _ = region_of(skin, build_cavity(skin, frame, cell_m=0.008), 0.05)
    assert region.hollow_m3 == pytest.approx(4 / 3 * np.pi * 0.24**3, rel=0.005)
