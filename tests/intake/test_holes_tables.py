"""[holes], [[port]] and [[keep_out]]: read in SI, refused by name."""

import math

import pytest

from pourwright.errors import JobError
from pourwright.intake import read_job
from pourwright.lifts import HoleRules, KeepOut

END = 'grade = "rigid-3"\n'


def with_lines(job_file, lines):
    path = job_file()
    path.write_text(path.read_text(encoding="utf-8") + lines, encoding="utf-8")
    return path


def test_without_a_word_no_hole_is_on_the_front_where_another_will_do(job_file):
    job = read_job(job_file())
    assert job.limits.holes == HoleRules()
    assert any("no hole on the front" in words for words in job.assumed)


def test_everything_is_read(job_file):
    lines = """
[holes]
face = "hidden"
[[port]]
at = ["10 mm", "-2 in", "1 m"]
[[keep_out]]
low = ["1 m", "0 mm", "2 m"]
high = ["0 m", "1 m", "3 m"]
[[keep_out]]
from_base = "400 mm"
face = "front"
"""
    rules = read_job(with_lines(job_file, lines)).limits.holes
    assert rules.prefer == "hidden"
    assert rules.at_m == (pytest.approx((0.01, -0.0508, 1.0)),)
    assert rules.keep_out == (
        KeepOut(box_m=((0.0, 0.0, 2.0), (1.0, 1.0, 3.0))),
        KeepOut(from_base_m=0.4, to_base_m=math.inf, face="front"),
    )


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ("[[keep_out]]\n", r"keep_out\[1\] is missing: give a box"),
        ('[[keep_out]]\nlow = ["1 m", "1 m", "1 m"]\n', r"keep_out\[1\]\.high is missing: a box needs both corners"),
        ('[[port]]\nat = ["1 m", "1 m"]\n', r"port\[1\]\.at"),
        ('[holes]\nface = "back"\n', r"holes\.face = 'back'"),
        ("[[keep_out]]\nfrom_base = 3\n", r"keep_out\[1\]\.from_base = 3"),
    ],
)
def test_what_is_wrong_is_named(job_file, lines, said):
    with pytest.raises(JobError, match=said):
        read_job(with_lines(job_file, "\n" + lines))
