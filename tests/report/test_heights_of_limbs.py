"""A lift whose limbs end at different heights names them, each once as a tape reads it."""

from types import SimpleNamespace

import pytest

from pourwright.wording.status import tops_of_all, tops_words


def lift(*tops_m):
    return SimpleNamespace(top_m=max(tops_m), pours=[SimpleNamespace(top_m=top) for top in tops_m])


@pytest.mark.parametrize(
    ("tops_m", "words"),
    [
        ((0.842,), ("842 mm",)),
        ((0.8421, 0.8422), ("842 mm",)),
        ((1.372, 0.842), ("842 mm", "and 1372 mm")),
        ((0.5, 0.3, 0.2), ("200 mm", "to 500 mm")),
    ],
)
def test_where_a_lift_ends(tops_m, words):
    said = tops_words(lift(*tops_m))
    assert [said.count(word) for word in words] == [1] * len(words)
    assert said.count("mm") == len(words)


def test_heights_of_all_lifts_stand_once_from_the_base_up():
    lifts = [lift(0.842, 0.842, 1.372), lift(0.982), lift(1.372)]
    assert [round(1e3 * top) for top in tops_of_all(lifts)] == [842, 982, 1372]
