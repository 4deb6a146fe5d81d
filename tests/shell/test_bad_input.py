"""Every bad input gets one clear sentence and no traceback."""

import os
import re

import numpy as np
import pytest

from pourwright.errors import JobError, PourwrightError, ShellError, UsageError
from pourwright.shell import WallBand, check_bands, load_skin, shell_report, skin_material

WALL = (WallBand("", 0.0, np.inf, 0.005),)


def load(path, unit="m", bands=WALL, **options):
    return load_skin(path, unit=unit, material=skin_material("grp"), bands=bands, **options)


def refused(error, call, *words):
    """The message is one sentence or two, in words, with the given ones in it."""
    with pytest.raises(error) as caught:
        call()
    text = str(caught.value)
    assert len(text) < 600
    assert "\n" not in text
    assert not re.search(r"Traceback|<.*object at|Error\(", text)
    for word in words:
        assert word in text, text
    assert isinstance(caught.value, PourwrightError)
    assert caught.value.exit_code == (2 if issubclass(error, UsageError) else 1)


ENDINGS = ["stl", "obj", "ply", "glb", "gltf", "3mf", "off"]


@pytest.mark.parametrize("ending", ENDINGS)
def test_empty_file(tmp_path, ending):
    path = tmp_path / f"a.{ending}"
    path.write_bytes(b"")
    refused(ShellError, lambda: load(path), "empty")


@pytest.mark.parametrize("ending", ENDINGS)
@pytest.mark.parametrize(
    "text", ["The heron stands in the pond.\n" * 20, "solid heron\n", "0", "\n\n\n", "{}", "ply\n"]
)
def test_text_file_with_a_mesh_ending(tmp_path, ending, text):
    path = tmp_path / f"a.{ending}"
    path.write_text(text)
    refused(ShellError, lambda: load(path), "a." + ending)


@pytest.mark.parametrize("ending", ["stl", "obj", "ply", "glb", "3mf", "off"])
def test_truncated_file(odd, write, ending):
    path = write(odd.sphere(level=3), f"a.{ending}")
    whole = path.read_bytes()
    for share in (0.02, 0.3, 0.7, 0.99):
        path.write_bytes(whole[: int(share * len(whole))])
        if ending == "obj" and b"\nf " in path.read_bytes():
            # it has neither counts nor an end: what is left is a mesh with a hole, and says so
            assert not shell_report(path, "m").closed
        else:
            refused(ShellError, lambda path=path: load(path), "a." + ending)


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf])
@pytest.mark.parametrize("ending", ["bin.stl", "obj", "ply", "off"])
def test_points_that_are_not_numbers(odd, write, value, ending):
    v, f = odd.sphere(level=2)
    v = v.copy()
    v[7] = value
    refused(ShellError, lambda: load(write((v, f), f"a.{ending}")), "a.")


def test_flat_sheet(write):
    v = np.array([[0.0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]])
    refused(ShellError, lambda: load(write((v, np.array([[0, 1, 2], [0, 2, 3]])))), "sheet", "1 m²")


def test_sheet_with_two_sides(write):
    v = np.array([[0.0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]])
    f = np.array([[0, 1, 2], [0, 2, 3], [0, 2, 1], [0, 3, 2]])
    refused(ShellError, lambda: load(write((v, f))), "piece.stl")


def test_everything_on_one_spot(write):
    refused(ShellError, lambda: load(write((np.zeros((3, 3)), np.array([[0, 1, 2]])))), "one spot")


def test_all_on_one_line(write):
    v = np.array([[0.0, 0, 0], [1, 0, 0], [2, 0, 0], [3, 0, 0]])
    refused(ShellError, lambda: load(write((v, np.array([[0, 1, 2], [1, 2, 3]])))), "piece.stl")


@pytest.mark.parametrize("scale", [1e9, 1e3, 1e-3, 1e-12, 1e300])
def test_size_out_of_range_names_the_limits(odd, write, scale):
    v, f = odd.sphere(level=2)
    refused(ShellError, lambda: load(write((v * scale, f), "a.ply" if scale < 1e30 else "a.obj")), "a.")


def test_huge_coordinates_say_the_size_and_the_limit(odd, write):
    v, f = odd.sphere(level=2)
    refused(ShellError, lambda: load(write((v * 2e9, f))), "2e+09 m long", "10 mm to 100 m", "unit")


def test_far_from_the_origin(odd, write):
    v, f = odd.sphere(level=2)
    refused(ShellError, lambda: load(write((v + 1e9, f), "a.off")), "from its file's origin")


def test_unknown_unit(odd, write):
    refused(UsageError, lambda: load(write(odd.sphere(level=2)), unit="furlong"), "furlong", "mm, cm, in, ft, m")


def test_missing_unit_shows_the_size_in_each(odd, write):
    v, f = odd.sphere(0.6, 2)
    refused(
        UsageError,
        lambda: load(write((v * 1000, f)), unit=None),
        "1.2 m if mm",
        "12 m if cm",
        "30.48 m if in",
        "365.8 m if ft",
        "1200 m if m",
    )


def test_no_such_file(tmp_path):
    refused(UsageError, lambda: load(tmp_path / "gone.stl"), "does not exist")


def test_folder(tmp_path):
    (tmp_path / "a.stl").mkdir()
    refused(UsageError, lambda: load(tmp_path / "a.stl"), "folder")


def test_not_an_ordinary_file(tmp_path):
    os.mkfifo(tmp_path / "a.stl")
    refused(UsageError, lambda: load(tmp_path / "a.stl"), "ordinary file")


def test_path_with_a_zero_byte():
    refused(UsageError, lambda: load("a\0b.stl"), "path")


@pytest.mark.skipif(os.geteuid() == 0, reason="root reads everything")
def test_unreadable_file(odd, write):
    path = write(odd.sphere(level=1))
    path.chmod(0)
    refused(UsageError, lambda: load(path), "cannot be read")


def test_read_error_is_a_sentence(odd, write, monkeypatch):
    path = write(odd.sphere(level=1))

    def fail(path, flags):
        raise PermissionError(13, "Permission denied", path)

    monkeypatch.setattr("os.open", fail)
    refused(UsageError, lambda: load(path), "cannot be read (Permission denied)")


@pytest.mark.parametrize("name", ["a.step", "a.fbx", "a", "a.zip", "a.txt"])
def test_wrong_ending(tmp_path, name):
    (tmp_path / name).write_text("x")
    refused(UsageError, lambda: load(tmp_path / name), ".stl, .obj, .ply, .glb, .gltf, .3mf, .off")


def test_no_faces(tmp_path):
    path = tmp_path / "a.stl"
    path.write_bytes(b"\0" * 84)
    refused(ShellError, lambda: load(path), "no triangles")


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("a.obj", "v 0 0 0\nv 1 0 0\nv 0 1 0\n"),
        (
            "a.ply",
            "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\n"
            "end_header\n0 0 0\n1 0 0\n0 1 0\n",
        ),
    ],
)
def test_points_only(tmp_path, name, text):
    (tmp_path / name).write_text(text)
    refused(ShellError, lambda: load(tmp_path / name), "points but no triangles")


@pytest.mark.parametrize("text", ["v 0 0 0\nv 1 0 0\nf 1 2 9\n", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 -7\n"])
def test_faces_that_name_missing_points(tmp_path, text):
    (tmp_path / "a.obj").write_text(text)
    refused(ShellError, lambda: load(tmp_path / "a.obj"), "a.obj")


@pytest.mark.parametrize("thickness", [0.0, -0.003, np.nan, np.inf])
def test_thickness_that_is_no_length(odd, write, thickness):
    bands = (WallBand("", 0.0, np.inf, thickness),)
    refused(
        JobError,
        lambda: load(write(odd.sphere(level=1)), bands=bands),
        "wall",
        "thickness",
        "greater than zero" if thickness != np.inf else "",
    )


def test_wall_thicker_than_the_piece(odd, write):
    bands = (WallBand("", 0.0, np.inf, 0.6),)
    refused(JobError, lambda: load(write(odd.sphere(level=2)), bands=bands), "two such walls do not fit", "1 m across")


def test_no_wall_given(odd, write):
    refused(ShellError, lambda: load(write(odd.sphere(level=2)), bands=()), "give the wall thickness")


@pytest.mark.parametrize(
    ("bands", "words"),
    [
        ([("low", 0, 0.5, 0.01), ("high", 0.6, np.inf, 0.005)], ("wall.high.from", "gap of 100 mm")),
        ([("low", 0, 0.5, 0.01), ("high", 0.3, np.inf, 0.005)], ("wall.high.from", "overlap of 200 mm")),
        ([("low", 0.5, 0.5, 0.01)], ("wall.low.from", "below")),
        ([("low", 0.6, 0.5, 0.01)], ("wall.low.from", "below")),
        ([("low", np.nan, 0.5, 0.01)], ("wall.low.from",)),
        ([("low", 0.1, np.inf, 0.01)], ("wall.low.from", "start at 0")),
        ([("low", 0.0, 0.7, 0.01)], ("wall.low.to", "top at 1")),
    ],
)
def test_bands_that_do_not_cover_the_piece(odd, write, bands, words):
    refused(JobError, lambda: load(write(odd.sphere(level=2)), bands=[WallBand(*b) for b in bands]), *words)


def test_spread_that_is_no_share():
    refused(JobError, lambda: check_bands([WallBand("a", 0, 1, 0.005, 1.5)]), "wall.a.spread")


def test_bands_are_put_in_order():
    bands = check_bands([WallBand("high", 0.5, np.inf, 0.004), WallBand("low", 0.0, 0.5, 0.006)])
    assert [b.name for b in bands] == ["low", "high"]


def test_a_report_does_not_raise_for_a_bad_mesh(write):
    v = np.array([[0.0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]])
    report = shell_report(write((v, np.array([[0, 1, 2], [0, 2, 3]]))), "m")
    assert not report.can_plan
    assert "sheet" in report.reasons[0]
    assert report.triangles == 2


def test_a_report_of_a_good_mesh(odd, write):
    report = shell_report(write(odd.bowl()), "m")
    assert report.can_plan
    assert report.reasons == ()
    assert report.pieces == 1
    assert not report.closed
    np.testing.assert_allclose(report.high_m - report.low_m, [1, 1, 0.6], atol=1e-6)


def test_zero_size_triangles_only(write):
    v = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0]])
    refused(ShellError, lambda: load(write((v, np.array([[0, 0, 1], [1, 1, 2]])))), "piece.stl")
