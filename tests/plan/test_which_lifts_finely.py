"""The last word on the skin under a lift is spoken on twice as many triangles where that could change a verdict."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
import trimesh
from tests.reference.seen import lifts_seen

from pourwright.intake import job_from_shell
from pourwright.plan import make_plan, skin_bulge
from pourwright.plan.skin_bulge import SkinJudge


def _chosen(monkeypatch, coarse, fine, grounded=()):
    """Lifts that are computed closely, where the two meshes find these shares used."""
    judge = SkinJudge.__new__(SkinJudge)
    rough, close = SimpleNamespace(mesh="rough"), SimpleNamespace(mesh="close")
    judge._bulge = lambda under, lift: SimpleNamespace(used=(coarse if under is rough else fine)[lift])
    monkeypatch.setattr(skin_bulge, "stands_in", lambda under, lift: lift in grounded)
    return sorted(judge._closely(rough, close, tuple(range(len(coarse))))), judge.change


def test_lifts_that_use_more_than_half_and_the_one_that_uses_most(monkeypatch):
    assert _chosen(monkeypatch, [0.2, 0.55, 0.7, 0.4], [0.2, 0.56, 0.7, 0.4]) == ([1, 2], pytest.approx(0.0))
    assert _chosen(monkeypatch, [0.2, 0.1], [0.21, 0.1]) == ([0], pytest.approx(0.05))


def test_a_mesh_that_tells_three_times_too_little_is_not_believed_at_a_third_either(monkeypatch):
    assert _chosen(monkeypatch, [0.6, 0.4, 0.3], [1.8, 1.2, 0.9])[0] == [0, 1]
    assert _chosen(monkeypatch, [0.6, 0.4, 0.34], [1.8, 1.2, 1.02])[0] == [0, 1, 2]


def test_what_stands_on_the_ground_and_what_is_not_known_is_looked_at_closely(monkeypatch):
    unknown = float("nan")
    assert _chosen(monkeypatch, [0.1, 0.3, unknown, 0.2], [0.1, 0.3, 0.9, 0.2], grounded=(0,))[0] == [0, 1, 2]


def test_no_verdict_of_a_tall_box_changes_where_all_lifts_are_looked_at_closely(tmp_path, monkeypatch):
    path = tmp_path / "post.stl"
    trimesh.creation.box((0.25, 0.2, 0.9)).export(path)
    asked = {"structure.triangles": 900, "heat.cells": 2000, "grid.cell": "12 mm", "piece.unit": "m"}
    asked |= {"piece.material": "grp", "wall.thickness": "6 mm", "foam.grade": "rigid-3", "shop.largest_batch": "1 L"}
    job = job_from_shell(path, asked)
    some = lifts_seen(make_plan(job))
    monkeypatch.setattr(skin_bulge, "FINELY", 1e-9)
    every = lifts_seen(make_plan(job))
    assert len({lift.bulge.triangles for lift in every}) == 1
    assert sum(lift.bulge.triangles < every[0].bulge.triangles for lift in some) >= 2
    assert [lift.bulge.verdict for lift in some] == [lift.bulge.verdict for lift in every]
    assert [(lift.bottom_m, lift.top_m) for lift in some] == [(lift.bottom_m, lift.top_m) for lift in every]
    assert max(lift.bulge.used for lift in some) == pytest.approx(max(lift.bulge.used for lift in every), rel=0.05)
