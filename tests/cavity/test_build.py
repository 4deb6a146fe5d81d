"""Cavity from skins: kinds, bands, stray voids, refusals."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from pourwright.cavity import build_cavity
from pourwright.errors import CavityError
from pourwright.shell import SkinKind, WallBand


def box(size=(1.0, 0.8, 0.6)):
    return trimesh.creation.box(size)


def test_box_loses_the_wall_on_every_side(skin_of, stand):
    skin = skin_of(box(), 0.05, spread=0.0)
    cavity = build_cavity(skin, stand(skin), cell_m=0.01)
    assert cavity.volume_m3 == pytest.approx(0.9 * 0.7 * 0.5, rel=1e-3)
    assert cavity.fraction.sum(dtype=float) / 255 * 0.01**3 == pytest.approx(cavity.volume_m3, rel=1e-12)


def test_cells_that_line_up_with_the_walls_are_exact(skin_of, stand):
    skin = skin_of(box(), 0.05, spread=0.0)
    cavity = build_cavity(skin, stand(skin), cell_m=0.05)
    assert cavity.volume_m3 == pytest.approx(0.9 * 0.7 * 0.5, rel=2e-3)


def test_open_box_fills_up_to_the_cap(skin_of, stand):
    mesh = box()
    cap = mesh.face_normals[:, 2] > 0.9
    skin = skin_of(mesh, 0.05, kind=SkinKind.OPEN, cap=cap, spread=0.0)
    cavity = build_cavity(skin, stand(skin), cell_m=0.0111)
    assert cavity.volume_m3 == pytest.approx(0.9 * 0.7 * 0.55, rel=1e-3)
    on_its_side = build_cavity(skin, stand(skin, up=(1.0, 0.0, 0.0)), cell_m=0.0111)
    assert on_its_side.volume_m3 == pytest.approx(0.9 * 0.7 * 0.55, rel=1e-3)


def test_thickness_is_that_of_the_skin_s_own_height(skin_of, stand):
    """10 mm up to half height, 100 mm above: the floor and lower walls keep theirs whichever way the piece stands."""
    bands = (WallBand("low", -np.inf, 0.3, 0.01, 0.0), WallBand("high", 0.3, np.inf, 0.1, 0.0))
    skin = skin_of(box(), bands=bands)
    # below the step the thick wall reaches down by a quarter round of 0.1 (rounded: distance from its lower edge)
    upper = (1.0 - 0.2) * (0.8 - 0.2) * 0.2
    lower = 0.98 * 0.78 * 0.29
    cavity = build_cavity(skin, stand(skin), cell_m=0.01)
    sideways = build_cavity(skin, stand(skin, up=(1.0, 0.0, 0.0)), cell_m=0.01)
    around = _rounding_below_the_step()
    assert cavity.volume_m3 == pytest.approx(upper + lower - around, rel=2e-3)
    assert sideways.volume_m3 == pytest.approx(cavity.volume_m3, rel=1e-3)


def _rounding_below_the_step():
    """What the thick band takes below its lower edge: per height, a frame of width sqrt(0.1^2 - depth^2) - 0.01."""
    depth = (np.arange(2000) + 0.5) / 2000 * np.sqrt(0.1**2 - 0.01**2)
    width = np.sqrt(0.1**2 - depth**2)
    frame = 0.98 * 0.78 - (1.0 - 2 * width) * (0.8 - 2 * width)
    return float(frame.mean() * np.sqrt(0.1**2 - 0.01**2))


def test_range_spans_the_walls_own_spread(skin_of, stand):
    mesh = trimesh.creation.icosphere(5, 0.5)
    thin, middle, thick = (
        build_cavity(s, stand(s), cell_m=0.02) for s in (skin_of(mesh, t) for t in (0.018, 0.02, 0.022))
    )
    assert middle.volume_low_m3 == pytest.approx(thick.volume_m3, rel=2e-3)
    assert middle.volume_high_m3 == pytest.approx(thin.volume_m3, rel=2e-3)
    assert middle.volume_uncertainty_m3 > 0.9 * (thin.volume_m3 - thick.volume_m3) / 2


def test_crumbs_are_dropped_and_counted(skin_of, stand):
    big, small = trimesh.creation.icosphere(4, 0.3), trimesh.creation.icosphere(4, 0.03)
    small.apply_translation([0.5, 0, 0])
    skin = skin_of(trimesh.util.concatenate([big, small]), 0.01)
    kept = build_cavity(skin, stand(skin), cell_m=0.01, stray_void_m3=0.0)
    swept = build_cavity(skin, stand(skin), cell_m=0.01, stray_void_m3=1e-4)
    assert (kept.stray_voids, swept.stray_voids) == (0, 1)
    assert swept.stray_voids_m3 == pytest.approx(4 / 3 * np.pi * 0.02**3, rel=0.1)
    assert kept.volume_m3 == pytest.approx(swept.volume_m3 + swept.stray_voids_m3, rel=1e-9)


@pytest.mark.parametrize("wall", [0.31, 0.5, 2.0])
def test_wall_that_leaves_nothing_says_how_deep_the_shell_is(skin_of, stand, wall):
    skin = skin_of(box(), wall)
    with pytest.raises(CavityError, match=r"leaves no cavity.* 29\d.* mm under its skin"):
        build_cavity(skin, stand(skin), cell_m=0.02)


def test_void_below_a_cell_is_refused(skin_of, stand):
    outer, inner = box(), trimesh.creation.icosphere(2, 0.004)
    inner.invert()
    both = trimesh.util.concatenate([outer, inner])
    skin = skin_of(both, kind=SkinKind.BOTH_FACES, void=np.arange(len(both.faces)) >= len(outer.faces))
    with pytest.raises(CavityError, match="cell"):
        build_cavity(skin, stand(skin), cell_m=0.05)


def test_outside_face_without_a_wall_is_refused(skin_of, stand):
    skin = skin_of(box())
    with pytest.raises(CavityError, match="wall thickness"):
        build_cavity(skin, stand(skin))


def test_both_faces_without_a_void_is_refused(skin_of, stand):
    skin = skin_of(box(), kind=SkinKind.BOTH_FACES)
    with pytest.raises(CavityError, match="void"):
        build_cavity(skin, stand(skin))


def test_mesh_turned_inside_out_has_no_inside(skin_of, stand):
    mesh = box()
    mesh.invert()
    skin = skin_of(mesh, 0.01)
    with pytest.raises(CavityError, match="inside"):
        build_cavity(skin, stand(skin), cell_m=0.05)


def test_same_cells_on_any_number_of_threads(skin_of, stand, monkeypatch):
    from pourwright.cavity import build_levels

    skin = skin_of(trimesh.creation.torus(0.4, 0.15), 0.02)
    frame = stand(skin, up=(0.3, 0.2, 0.9))
    found = []
    for threads in ("1", "3"):
        monkeypatch.setenv("POURWRIGHT_THREADS", threads)
        cavity = build_cavity(skin, frame, cell_m=0.01)
        found.append((cavity, build_levels(cavity)))
    (a, g), (b, k) = found
    assert a.fraction.tobytes() == b.fraction.tobytes()
    assert (a.volume_low_m3, a.volume_high_m3) == (b.volume_low_m3, b.volume_high_m3)
    for name, value in vars(g).items():
        if isinstance(value, np.ndarray):
            assert value.tobytes() == getattr(k, name).tobytes(), name


def test_results_are_read_only_and_progress_is_told(skin_of, stand):
    told = []
    skin = skin_of(box(), 0.05)
    cavity = build_cavity(skin, stand(skin), cell_m=0.05, progress=lambda step, done: told.append((step, done)))
    assert told[0] == ("occupancy", 0.0)
    assert {("occupancy", 1.0), ("distance", 1.0), ("pieces", 1.0)} <= set(told)
    with pytest.raises(ValueError, match="read-only"):
        cavity.fraction[0, 0, 0] = 1


def test_work_can_be_called_off(skin_of, stand, monkeypatch):
    class CalledOff(Exception):
        pass

    def tell(step, done):
        if step == "distance" and done > 0.3:
            raise CalledOff

    skin = skin_of(trimesh.creation.icosphere(5, 0.5), 0.01)
    for threads in ("1", "2"):
        monkeypatch.setenv("POURWRIGHT_THREADS", threads)
        with pytest.raises(CalledOff):
            build_cavity(skin, stand(skin), cell_m=0.01, progress=tell)
