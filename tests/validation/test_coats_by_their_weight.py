"""Coats that were poured otherwise than planned, by hand: mass is kept, and a bare place is a cap (Archimedes)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from lined_ball import as_poured, lined_ball

from pourwright.lining import Pin


@pytest.fixture(scope="module")
def ball(tmp_path_factory):
    return lined_ball(tmp_path_factory.mktemp("ball"))


def test_what_a_coat_lacks_the_next_ones_make_up(ball):
    """Foam of all coats together is the lining's whatever went wrong: mass that is missing is mass to pour."""
    lining, again = ball
    whole = sum(coat.foam_m3 for coat in lining.coats)
    for ratio in (0.6, 1.2):
        found = again(as_poured(lining, 1, ratio))
        assert sum(coat.foam_m3 for coat in found.coats) == pytest.approx(whole, rel=1e-9)
        assert found.coats[0].foam_m3 == pytest.approx(ratio * lining.coats[0].foam_m3, rel=1e-9)
        assert all(coat.thickness_m <= found.most_coat_m for coat in found.coats if not coat.poured)


def test_a_pin_that_finds_nothing_makes_a_bare_place_there_and_foam_lies_elsewhere(ball):
    """What was weighed is in the piece: where a pin finds none the rest holds more, to the last gram."""
    lining, again = ball
    at = np.array([0.395, 0.0, 0.0])
    poured = [as_poured(lining, k + 1) for k in range(len(lining.coats))]
    before = again(*poured)
    after = again(*poured[:-1], replace(poured[-1], pins=(Pin(at, 0.0),)))
    gone = before.coverage - after.coverage
    reach = 0.12 * 0.79  # of the inside's size
    cap = 0.5 * (1.0 - np.cos(2.0 * np.arcsin(reach / (2.0 * 0.395))))  # Archimedes: share of a sphere by its cap
    assert gone == pytest.approx(cap, rel=0.2)
    nearest = min(after.bare, key=lambda one: np.linalg.norm(one.point_m - at))
    assert np.linalg.norm(nearest.point_m - at) < reach
    area = after.inside.area_m2
    assert (after.laid * area).sum() == pytest.approx((before.laid * area).sum(), rel=1e-6)


@pytest.fixture(scope="module")
def thick_foot(tmp_path_factory):
    """A ball of 0.8 m, its lowest 250 mm lined with 70 mm in place of 45."""
    part = {"name": "foot", "to": "250 mm", "thickness": "70 mm"}
    return lined_ball(tmp_path_factory.mktemp("foot"), part=[part])


def test_coats_of_a_part_and_of_the_whole_make_up_each_its_own_and_mass_is_kept(thick_foot):
    """What was weighed lies on the inside to the last gram, whichever coat it was and in which order they came."""
    lining, again = thick_foot
    whole = [k + 1 for k, coat in enumerate(lining.coats) if not coat.aims]
    foot = [k + 1 for k, coat in enumerate(lining.coats) if coat.aims]
    assert whole
    assert foot
    asked = [sum(coat.foam_m3 for coat in lining.coats if bool(coat.aims) == part) for part in (False, True)]
    ratio = dict.fromkeys((*whole, *foot), 1.0) | {whole[-1]: 0.5, foot[0]: 0.7}
    found = again(*(as_poured(lining, number, ratio[number]) for number in (*whole, foot[0])))
    for part, m3 in zip((False, True), asked, strict=True):
        assert sum(coat.foam_m3 for coat in found.coats if bool(coat.aims) == part) == pytest.approx(m3, rel=1e-9)
    poured = [coat for coat in found.coats if coat.poured]
    assert [coat.number for coat in poured] == list(range(1, len(whole) + 2))
    assert poured[-1].aims
    inside, due = found.inside, np.zeros(len(found.inside.area_m2))
    for part in found.parts:  # foam of each part over its area
        mine = inside.part == part.number
        due[mine] = part.foam_m3 / part.area_m2
    lies = float((found.laid * due * inside.area_m2).sum())
    assert lies == pytest.approx(sum(coat.foam_m3 for coat in found.coats), rel=0.02)  # thinner than a film: not laid
    more = found.laid[inside.part == 1].mean() / lining.laid[inside.part == 1].mean()
    assert more == pytest.approx(1.0, abs=0.25)


def test_a_pin_that_finds_nothing_on_a_part_is_bare_of_every_coat(thick_foot):
    """The cap around it (Archimedes) is missing, though an earlier coat had covered it."""
    lining, again = thick_foot
    at = np.array([0.0, 0.0, -0.395])
    poured = [as_poured(lining, k + 1) for k in range(len(lining.coats))]
    before = again(*poured)
    after = again(*poured[:-1], replace(poured[-1], pins=(Pin(at, 0.0),)))
    cap = 0.5 * (1.0 - np.cos(2.0 * np.arcsin(0.12 * 0.79 / (2.0 * 0.395))))
    assert before.coverage - after.coverage == pytest.approx(cap, rel=0.2)
