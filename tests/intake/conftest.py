"""A job file that is right, to be made wrong one line at a time."""

import pytest

RIGHT = """\
[piece]
name = "Test piece"
place = "the yard"
shell = "piece.stl"
unit = "mm"
material = "grp"

[wall]
thickness = "5 mm"

[foam]
grade = "rigid-3"

[shop]
air = "18 degC"
hands = 2
"""


@pytest.fixture
def job_file(tmp_path):
    """``job_file(old, new, ...)`` -> path of the right job file with each ``old`` replaced by ``new``."""
    (tmp_path / "piece.stl").write_text("solid\nendsolid\n")

    def make(*changes):
        text = RIGHT
        for old, new in zip(changes[::2], changes[1::2], strict=True):
            assert old in text
            text = text.replace(old, new, 1)
        path = tmp_path / "job.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return make
