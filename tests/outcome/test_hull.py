"""A hull in patches answers as the sums over every facet do."""

import numpy as np
import pytest
import trimesh

from pourwright.water import hull_of, submerged

RNG = np.random.default_rng(5)


def planes(points, count):
    """Random planes that cut a cloud of points, every other one nearly level."""
    for k in range(count):
        n = RNG.normal(size=3) * ([0.02, 0.02, 0.02] if k % 2 else [1, 1, 1]) + ([0, 0, 1] if k % 2 else [0, 0, 0])
        n = n / np.linalg.norm(n)
        along = points @ n
        yield n, RNG.uniform(along.min(), along.max())


def boat():
    """A box with two cockpits, one of them deeper, in facets small enough for many patches."""
    box = trimesh.creation.box((2.0, 1.0, 0.5))
    for at, depth in ((-0.5, 0.4), (0.5, 0.2)):
        cockpit = trimesh.creation.box((0.8, 0.7, 2 * depth))
        box = box.difference(cockpit.apply_translation((at, 0.0, 0.25)))
    return box.subdivide_to_size(0.04)


@pytest.mark.parametrize("bail", [False, True])
def test_patches_give_what_every_facet_gives(bail):
    hull = boat()
    made = hull_of(hull.vertices, hull.faces)
    dry = 0
    for n, level in planes(hull.vertices, 60):
        ours, plain = made.under(n, level, bail=bail), submerged(hull.vertices, hull.faces, n, level, bail=bail)
        assert ours.dry_bowls == plain.dry_bowls
        assert ours.volume_m3 == pytest.approx(plain.volume_m3, rel=1e-11, abs=1e-14)
        assert ours.centre_m == pytest.approx(plain.centre_m, abs=1e-9)
        assert ours.waterplane_m2 == pytest.approx(plain.waterplane_m2, rel=1e-9, abs=1e-12)
        assert ours.waterplane_centre_m == pytest.approx(plain.waterplane_centre_m, abs=1e-9)
        assert ours.waterplane_m4 == pytest.approx(plain.waterplane_m4, abs=1e-11)
        dry = max(dry, ours.dry_bowls)
    assert dry == (2 if bail else 0)


def test_nothing_and_all_of_it_under_water():
    box = trimesh.creation.box((1.0, 2.0, 3.0)).subdivide_to_size(0.1)
    hull = hull_of(box.vertices, box.faces)
    up = np.array([0.0, 0, 1])
    assert hull.under(up, -2.0).volume_m3 == 0.0
    whole = hull.under(up, 2.0, bail=True)
    assert whole.volume_m3 == pytest.approx(6.0, rel=1e-12)
    assert whole.centre_m == pytest.approx([0, 0, 0], abs=1e-12)
    assert whole.waterplane_m2 == 0.0
