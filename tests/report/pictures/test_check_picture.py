"""The picture of a mesh check: what is marked is where the damage was done."""

import numpy as np
import trimesh
from PIL import Image

from pourwright.cli import main
from pourwright.draw.check import FOUND, check_picture
from pourwright.shell import shell_report


def near(image, colour):
    pixels = np.asarray(image.convert("RGB"), int)
    return (np.abs(pixels - colour).max(axis=2) < 12).sum()


def test_flipped_triangles_are_marked_and_a_clean_shell_has_no_marks(tmp_path):
    ball = trimesh.creation.icosphere(subdivisions=4, radius=0.4)
    ball.export(tmp_path / "clean.ply")
    faces = ball.faces.copy()
    faces[100:130] = faces[100:130, ::-1]
    trimesh.Trimesh(ball.vertices, faces, process=False).export(tmp_path / "turned.ply")
    clean = shell_report(tmp_path / "clean.ply", "m")
    turned = shell_report(tmp_path / "turned.ply", "m")
    assert not any(finding.at_m for finding in clean.findings)
    placed = [finding for finding in turned.findings if finding.at_m]
    assert placed
    truth = ball.triangles_center[100:130]
    at = np.array(placed[0].at_m)
    assert np.linalg.norm(at[:, None] - truth[None], axis=2).min(axis=1).max() < 0.06
    assert near(check_picture(turned, tmp_path / "turned.ply"), FOUND[0]) > 300
    assert near(check_picture(clean, tmp_path / "clean.ply"), FOUND[0]) == 0


def test_check_command_writes_the_picture(tmp_path, capsys):
    trimesh.creation.icosphere(subdivisions=3, radius=400).export(tmp_path / "ball.stl")
    assert main(["check", str(tmp_path / "ball.stl"), "--unit", "mm", "--picture", str(tmp_path / "ball.png")]) == 0
    assert Image.open(tmp_path / "ball.png").width == 1600
    assert main(["check", str(tmp_path / "ball.stl"), "--unit", "mm", "--picture", str(tmp_path / "no" / "b.png")]) == 2
    assert "cannot be written" in capsys.readouterr().err
