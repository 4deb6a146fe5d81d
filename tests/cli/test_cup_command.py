"""pourwright cup: the foam of a job in a cup."""

from __future__ import annotations

import json

import pytest
from PIL import Image

from pourwright.cli import main

JOB = """
[piece]
name = "Cup"
shell = "none.stl"

[wall]
thickness = "4 mm"

[foam]
grade = "rigid-3"

[shop]
air = "30 degC"
largest_batch = "5 L"
"""
TEST = """
[cup]
parts = "24 degC"
cream = "33 s"
gel = "120 s"
reference = "bench, batch 12"
"""


@pytest.fixture
def job(tmp_path):
    (tmp_path / "none.stl").write_bytes(b"not read")

    def make(more=""):
        path = tmp_path / "job.toml"
        path.write_text(JOB + more, encoding="utf-8")
        return str(path)

    return make


def test_table(job, capsys):
    assert main(["cup", job()]) == 0
    text = capsys.readouterr().out
    for word in ("cream", "gel", "tack-free", "end of rise", "height", "would do"):
        assert word in text


def test_json_and_cup_test(job, capsys):
    assert main(["cup", job(), "--json"]) == 0
    plain = json.loads(capsys.readouterr().out)
    assert plain["history"][0]["height_share"] == 0
    assert plain["times"]["gel_s"] < 130  # hotter than the data sheet's 22 degC
    assert main(["cup", job(TEST), "--json"]) == 0
    tested = json.loads(capsys.readouterr().out)
    assert tested["cup_test"] == "bench, batch 12"
    assert tested["times"]["gel_s"] < 120
    assert main(["cup", job(TEST), "--set", "shop.parts=24 degC", "--json"]) == 0
    same = json.loads(capsys.readouterr().out)
    assert same["times"]["gel_s"] == pytest.approx(120, rel=0.02)
    assert same["times"]["cream_s"] == pytest.approx(33, rel=0.02)


def test_picture_is_the_same_bytes_again(job, tmp_path, capsys):
    files = [tmp_path / f"{name}.png" for name in "ab"]
    for file in files:
        assert main(["cup", job(), "--picture", str(file)]) == 0
    assert files[0].read_bytes() == files[1].read_bytes()
    assert Image.open(files[0]).size[0] > 1000
    capsys.readouterr()
    assert main(["cup", job(), "--picture", str(tmp_path / "a.pdf")]) == 2
    assert "ends in .png" in capsys.readouterr().err.replace("end in", "ends in")


def test_bad_cup(job, capsys):
    assert main(["cup", job('[cup]\nparts = "24 degC"\ncream = "3 h"\n')]) == 2
    assert "cup.cream" in capsys.readouterr().err
