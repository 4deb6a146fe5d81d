"""A line of fixtures against the rhythm of a closed line with fixed times; spread against the GUM (JCGM 100:2008)."""

import math

import pytest

from pourwright.series import PartFacts, SeriesRules, closed_cycle, line_of, spread_of

PART = PartFacts(
    skin_kg=12.0, skin_m3=0.0127, cavity_m3=0.3, foam_kg=11.5, free_density_kg_m3=35.0, density_per_k=-0.004,
    fill_s=25.0, release_s=1200.0, lowest=1.02, highest=1.25, repeat_share=0.01, ratio_tolerance=0.02,
)  # fmt: skip


@pytest.mark.parametrize("fixtures", [1, 2, 3, 5])
def test_a_closed_line_with_fixed_times_and_people_enough_turns_each_fixture_over_in_its_own_round(fixtures):
    """Nobody waits but for the head, which is free: throughput of a closed line is its customers over their round."""
    line = line_of(SeriesRules(people=50, load_s=100.0, unload_s=80.0), fixtures, 20.0, 900.0)
    assert line.cycle_s == pytest.approx((100 + 20 + 900 + 80) / fixtures)


def test_a_line_with_more_fixtures_than_its_one_person_can_serve_runs_at_that_persons_pace():
    """Bottleneck law of a closed line: no faster than the busiest station, and there once it never idles."""
    line = line_of(SeriesRules(people=1, load_s=100.0, unload_s=80.0), 12, 20.0, 900.0)
    assert line.cycle_s == pytest.approx(200.0)
    assert line.bottleneck == "people"


def test_no_line_beats_its_bound():
    for fixtures in range(1, 12):
        for people in (1, 2, 3):
            line = line_of(SeriesRules(people=people), fixtures, 45.0, 1000.0)
            bound, _ = closed_cycle(fixtures, people, 180.0, 45.0, 1000.0, 180.0)
            assert line.cycle_s >= bound * (1 - 1e-9)


def test_one_fixture_gives_whole_rounds_only():
    rules = SeriesRules(people=2, load_s=180.0, unload_s=180.0, shift_s=8 * 3600.0)
    assert line_of(rules, 1, 40.0, 1200.0).parts_per_shift == 8 * 3600 // 1600


def test_drawn_weights_spread_as_the_law_of_propagation_says_where_it_is_linear():
    """JCGM 100:2008, 5.1.2: variances add, an even spread of ± a has a variance of a²/3 (4.3.7)."""
    found = spread_of(SeriesRules(wall_share=0.05, warmth_k=1.5), PART)
    by_hand = math.hypot(12.0 * 0.05, 11.5 * 0.01, 11.5 * 0.5 * 0.02 / math.sqrt(3), 11.5 * 7e-4 * 1.5)
    assert found.sd_kg == pytest.approx(by_hand, rel=4 / math.sqrt(2 * found.draws))
    assert found.linear_sd_kg == pytest.approx(by_hand)
    assert found.mean_kg == pytest.approx(23.5, abs=4 * by_hand / math.sqrt(found.draws))


def test_rejects_follow_the_normal_law_where_only_the_weight_counts():
    import statistics

    found = spread_of(SeriesRules(weight_share=0.05), PART)
    normal = statistics.NormalDist(0.0, found.linear_sd_kg)
    outside = 2 * normal.cdf(-0.05 * 23.5)
    assert found.reject_share == pytest.approx(outside, abs=4 * math.sqrt(outside / found.draws))
