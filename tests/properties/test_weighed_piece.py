"""Whatever a scale says: no mass leaves what the job gives of it or falls below nothing; rows, corners, draws agree."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pourwright.outcome import FINISHED, Part, corner_masses, weigh
from pourwright.outcome.likely.causes import causes_of, corners_of_known_wall, drawn
from pourwright.outcome.likely.readings import Cell, Weighing
from pourwright.outcome.likely.spread import likely_of
from pourwright.outcome.likely.weighed import weighed_piece
from pourwright.ranges import Range

ZERO3 = np.zeros((3, 3))
SHARES = st.floats(0.01, 0.3)


def _part(name, kind, stage, kg, ends, at):
    return Part(name, kind, stage, kg, *ends, "", np.array(at), ZERO3)


@st.composite
def pieces(draw):
    """Skin, foam, a lamp, plugs from nothing to twice."""
    wall, dense, light = draw(SHARES), draw(SHARES), draw(SHARES)
    skin, foam, plugs = draw(st.floats(10, 60)), draw(st.floats(2, 10)), draw(st.floats(0.05, 2))
    share = draw(st.floats(0.01, 0.5))

    def coupled(kg, way, spread):
        thin, thick = (Range.about(kg * (1 + sign * way), spread) for sign in (-1, 1))
        return Range(min(thin.low, thick.low), kg, max(thin.high, thick.high)), (thin, thick)

    lamp = Range(0.8, 1.0, draw(st.floats(1.15, 1.25)))
    return (
        _part("skin", "skin", 0, *coupled(skin, wall, dense), (0.0, 0.0, 0.0)),
        _part("foam", "foam", 1, *coupled(foam, -share * wall, light), (0.0, 0.1, 0.1)),
        _part("lamp", "item", 0, lamp, (lamp, lamp), (0.3, 0.0, 0.0)),
        _part("plugs", "plugs", FINISHED, Range(0.0, plugs, 2 * plugs), [Range(0.0, plugs, 2 * plugs)] * 2, (0, 0, 0)),
    )  # fmt: skip


def _weighings(parts, seed, error, stages):
    """What scales would say of a piece that lies somewhere between the job's ends."""
    causes = causes_of(parts)
    masses = causes.masses(np.random.default_rng(int(seed)).uniform(-1, 1, (1, len(causes.names))))[0]
    out = []
    for stage in stages:
        kg = masses[[stage == FINISHED or 0 <= part.after_lift <= stage for part in parts]].sum()
        out.append(Weighing(stage, (Cell(float(kg)),), float(error * kg)))
    return tuple(out)


@settings(max_examples=60, deadline=None)
@given(
    pieces(),
    st.floats(0.0, 1.0),
    st.sampled_from([1e-4, 0.002, 0.01, 0.1, 3.0]),
    st.sampled_from([(0,), (FINISHED,), (0, FINISHED), (0, 1, FINISHED)]),
)
def test_no_mass_leaves_what_the_job_gives_of_it(made, parts, seed, error, stages):
    piece, _ = made(list(parts))
    before = corner_masses(parts)
    weighings = _weighings(parts, seed, error, stages)
    known, learnt = weighed_piece(piece, weighings)
    corners = corner_masses(known.parts)
    slack = 1e-6 * before.max()
    assert (corners >= before.min(axis=0) - slack).all()
    assert (corners <= before.max(axis=0) + slack).all()
    assert (corners >= 0.0).all()
    assert all(-1.0 - 1e-9 <= cause.low <= cause.middle <= cause.high <= 1.0 + 1e-9 for cause in learnt.causes)
    masses, _ = drawn(known.parts, 1024)
    assert (masses >= before.min(axis=0) - slack).all()
    assert (masses <= before.max(axis=0) + slack).all()
    assert (corners_of_known_wall(known.parts) >= 0.0).all()


@settings(max_examples=60, deadline=None)
@given(pieces(), st.integers(0, 9999), st.sampled_from([0.002, 0.01, 0.1, 3.0]), st.sampled_from([(0,), (0, FINISHED)]))
def test_row_of_a_part_is_what_its_corners_span_and_its_draws_lie_in(made, parts, seed, error, stages):
    """The likely range is normal where ends are none, so it may pass the corners, by less than a tenth of the range."""
    piece, _ = made(list(parts))
    known, _ = weighed_piece(piece, _weighings(parts, seed, error, stages))
    corners, draws = corner_masses(known.parts), drawn(known.parts, 4096)[0]
    for k, part in enumerate(known.parts):
        assert (part.kg.low, part.kg.nominal, part.kg.high) == pytest.approx(
            (corners[:, k].min(), corners[0, k], corners[:, k].max()), rel=1e-9, abs=1e-12
        )
        near = 0.1 * (part.kg.high - part.kg.low) + 1e-9
        assert part.kg.low - near <= likely_of(draws[:, k]).low
        assert likely_of(draws[:, k]).high <= part.kg.high + near
    total, likely = weigh(known.parts).stages[-1].kg, likely_of(draws.sum(axis=1))
    near = 0.1 * (total.high - total.low)
    assert total.low - near <= likely.low
    assert likely.high <= total.high + near


@settings(max_examples=40, deadline=None)
@given(pieces(), st.floats(0.05, 3.0), st.sampled_from([1e-4, 0.01]))
def test_a_reading_beyond_everything_leaves_no_mass_below_nothing(made, parts, share, error):
    piece, _ = made(list(parts))
    kg = share * sum(part.kg.nominal for part in parts)
    known, learnt = weighed_piece(piece, (Weighing(FINISHED, (Cell(kg),), error * kg),))
    assert corner_masses(known.parts).min() >= 0.0
    assert min(part.kg.low for part in known.parts) >= 0.0
    if not learnt.weights[0].fits:
        total = corner_masses(parts).sum(axis=1)
        end = total.max() if kg > total[0] else total.min()
        assert min(end, kg) <= weigh(known.parts).stages[-1].kg.nominal * 1.0001
        assert weigh(known.parts).stages[-1].kg.nominal <= max(end, kg) * 1.0001


def test_a_scale_that_tells_next_to_nothing_leaves_the_jobs_own_ends(made):
    lamp = Range(9.4, 10.0, 10.6)
    piece, _ = made([_part("lamp", "item", 0, lamp, (lamp, lamp), (0.0, 0.0, 0.0))])
    known, _ = weighed_piece(piece, (Weighing(0, (Cell(10.0),), 50.0),))
    assert (known.parts[0].kg.low, known.parts[0].kg.high) == pytest.approx((9.4, 10.6), rel=1e-6)
