"""Keys that have changed their name: the old one is read, and that is said; both at once are refused."""

import pytest

from pourwright.errors import JobError
from pourwright.intake import read_job
from pourwright.intake.renamed import RENAMED

OLD = {"limits.bow": "2 %", "limits.reach": "350 mm", "limits.landing": "45 degC", "grid.crumb": "2 mL"}


def test_every_old_key_is_tried_here():
    assert set(OLD) == set(RENAMED)


@pytest.mark.parametrize("old", OLD)
def test_an_old_key_is_read_as_its_name_now(job_file, old):
    new = f"{old.split('.')[0]}.{RENAMED[old]}"
    asked, now = read_job(job_file(), {old: OLD[old]}), read_job(job_file(), {new: OLD[old]})
    assert (asked.limits, asked.stray_void_m3) == (now.limits, now.stray_void_m3)
    assert (now.limits, now.stray_void_m3) != (read_job(job_file()).limits, read_job(job_file()).stray_void_m3)
    assert f"{old} read as {new}, its name now" in asked.assumed
    assert not any("its name now" in words for words in now.assumed)


def test_both_names_at_once_are_refused(job_file):
    with pytest.raises(JobError, match=r"limits\.bow = '2 %': it is the earlier name of limits\.bulge"):
        read_job(job_file(), {"limits.bow": "2 %", "limits.bulge": "1 %"})
