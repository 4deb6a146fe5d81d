"""Things inside as a job file gives them, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest

from pourwright.cavity import pour_frame
from pourwright.errors import JobError
from pourwright.intake.jobfile import JobFile
from pourwright.intake.site import site_of

FRAME = pour_frame(np.array([[0, 0, 0], [0.6, 0.2, 0.9]]), np.array([0, 0, 1.0]), np.array([0, -1.0, 0]))
ROD = {
    "name": "leg iron", "weight": "2 kg", "when": "before", "shape": "rod", "diameter": "20 mm",
    "start": {"from_right": "100 mm", "from_front": "100 mm", "from_base": "0 mm"},
    "end": {"at": ["500 mm", "100 mm", "400 mm"]},
}  # fmt: skip
OTHER = {"shape": "bar", "diameter": None, "section": ["60 mm", "10 mm"]}


def _site(**changed):
    table = {key: value for key, value in {**ROD, **changed}.items() if value is not None}
    piece = {"name": "x", "shell": "x.ply", "material": "grp"}
    return site_of(JobFile.model_validate({"piece": piece, "foam": {"grade": "rigid-3"}, "item": [table]}))


def test_a_rod_and_a_bar_stand_where_they_are_measured():
    (iron,) = _site().irons(FRAME)
    assert iron.middle_m == pytest.approx([0.5, 0.1, 0.2])
    assert iron.volume_m3 == pytest.approx(np.pi * 0.01**2 * 0.4)
    (flat,) = _site(**OTHER).irons(FRAME)
    assert flat.volume_m3 == pytest.approx(0.06 * 0.01 * 0.4)
    assert np.ptp(flat.corners_m(), axis=0) == pytest.approx([0.06, 0.01, 0.4])
    (block,) = _site(shape="box", diameter=None, end={"at": ["400 mm", "50 mm", "400 mm"]}).irons(FRAME)
    assert block.volume_m3 == pytest.approx(0.1 * 0.05 * 0.4)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"shape": None}, "needs shape"),
        ({"when": "finished"}, 'needs when = "before"'),
        ({"end": None}, "give start and end"),
        ({"diameter": None}, "is what a rod needs"),
        ({"section": ["20 mm", "20 mm"]}, "which a bar needs and no other"),
        ({**OTHER, "section": ["20 mm"]}, "is two lengths"),
        ({"end": ROD["start"]}, "give the other end"),
        ({"start": {"from_left": "100 mm", "from_base": "0 mm"}}, "from_front or from_back is missing"),
    ],
)
def test_a_form_that_does_not_hold_together_is_refused(changed, words):
    with pytest.raises(JobError, match=words):
        _site(**changed)


def test_only_steel_is_counted_as_taking_heat():
    """By the density, 7000 to 8500 kg/m3; none given is steel."""
    heat = [_site(density=density).irons(FRAME)[0].metal.heat_j_m3k for density in (None, "7850 kg/m^3", "700 kg/m^3")]
    assert heat[0] == heat[1] == pytest.approx(470.0 * 2.0 / (np.pi * 0.01**2 * 0.4))
    assert heat[2] == 0.0
