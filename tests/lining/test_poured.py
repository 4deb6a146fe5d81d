"""Coats that are in the piece already: what was weighed, turned and pinned, and what the next coats make of it."""

from dataclasses import replace

import numpy as np
import pytest
import trimesh

from pourwright.cavity import Space
from pourwright.findings import Code, note
from pourwright.foam import Parts
from pourwright.intake import job_from_shell
from pourwright.lining import Begun, Kept, Pin, PouredCoat, around, rolls_of
from pourwright.plan import Case, Tried, history_of, lined_plan, make_plan
from pourwright.progress import silent
from pourwright.wording.findings import sentence


@pytest.fixture(scope="module")
def ball(tmp_path_factory):
    folder = tmp_path_factory.mktemp("ball")
    trimesh.creation.icosphere(3, 0.4).export(folder / "ball.ply")
    asked = {
        "foam.grade": "rigid-3", "wall.thickness": "5 mm", "piece.unit": "m", "grid.cell": "20 mm",
        "fill.style": "lining", "fill.thickness": "45 mm",
    }  # fmt: skip
    job = job_from_shell(folder / "ball.ply", asked)
    plan = make_plan(job)
    history = history_of(job)
    space = Space(plan.skin, plan.cavity, plan.graph, ())

    def again(*poured, kept=None):
        return lined_plan(Case(job, space, history), silent, Tried(begun=Begun(tuple(poured), kept))).lining

    return plan.lining, again


def as_poured(lining, number, ratio=1.0, rolls=None, pins=()):
    coat, parts = lining.coats[number - 1], lining.coats[number - 1].parts
    made = rolls_of(lining)[number - 1]
    turning = [one for one in made if not one.still]
    every = [turning[k % len(turning)] for k in range(lining.rolls)] + [one for one in made if one.still]
    weighed = Parts(*(ratio * value for value in (parts.a_kg, parts.b_kg, parts.a_m3, parts.b_m3)))
    return PouredCoat(
        number, weighed, ratio, coat.foam_m3, coat.followed_m3, 0.02, coat.film_m,
        tuple(every if rolls is None else every[:rolls]), tuple(pins),
    )  # fmt: skip


def kept(lining, after):
    left = range(after, len(lining.coats))
    rolls = rolls_of(lining)
    return Kept(tuple(rolls[k] for k in left), tuple(lining.coats[k].film_m for k in left), lining.coverage)


def test_a_coat_that_went_as_planned_leaves_the_others_as_they_were(ball):
    lining, again = ball
    found = again(as_poured(lining, 1), kept=kept(lining, 1))
    assert [coat.poured for coat in found.coats] == [True] + [False] * (len(lining.coats) - 1)
    for new, old in zip(found.coats, lining.coats, strict=True):
        assert new.parts.total_kg == pytest.approx(old.parts.total_kg, rel=1e-6)
        assert new.thickness_m == pytest.approx(old.thickness_m, rel=1e-6)
    assert found.coverage == pytest.approx(lining.coverage, abs=1e-9)
    assert np.allclose(found.laid, lining.laid)


def test_what_a_coat_lacks_the_next_ones_make_up(ball):
    """Foam of all coats together is the lining's whatever went wrong: mass that is missing is mass to pour."""
    lining, again = ball
    whole = sum(coat.foam_m3 for coat in lining.coats)
    for ratio in (0.6, 1.2):
        found = again(as_poured(lining, 1, ratio))
        assert sum(coat.foam_m3 for coat in found.coats) == pytest.approx(whole, rel=1e-9)
        assert found.coats[0].foam_m3 == pytest.approx(ratio * lining.coats[0].foam_m3, rel=1e-9)
        assert all(coat.thickness_m <= found.most_coat_m for coat in found.coats if not coat.poured)


def test_after_the_last_coat_nothing_is_poured_but_what_is_missing_by_a_tenth_or_more(ball):
    lining, again = ball
    full = [as_poured(lining, k + 1) for k in range(len(lining.coats))]
    assert all(coat.poured for coat in again(*full).coats)
    short = [*full[:-1], replace(full[-1], ratio=0.4)]
    found = again(*short)
    assert not found.coats[-1].poured
    lacks = 0.6 * lining.coats[-1].foam_m3
    assert found.coats[-1].foam_m3 == pytest.approx(lacks, rel=1e-6)


def test_fewer_rolls_leave_more_bare(ball):
    lining, again = ball
    all_of_it = again(*[as_poured(lining, k + 1) for k in range(len(lining.coats))])
    few = again(*[as_poured(lining, k + 1, rolls=1) for k in range(len(lining.coats))])
    assert few.coverage < all_of_it.coverage - 0.05
    assert few.bare[0].share > 0.01


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


def test_pins_speak_for_what_is_nearest_to_them_only(ball):
    lining, _ = ball
    pins = [Pin(np.array(at), 0.03) for at in ([0.395, 0, 0], [0.37, 0.14, 0], [-0.395, 0, 0])]
    mine = around(lining.inside, pins)
    for k, pin in enumerate(pins):
        far = np.linalg.norm(lining.inside.middle_m[mine == k] - pin.point_m, axis=1)
        assert len(far)
        assert far.max() <= 0.12 * 0.8


def test_a_record_of_coats_is_told_of_as_a_note():
    told = note(Code.COATS_AS_RECORDED)
    assert "weighed, turned and pinned" in sentence(told)
