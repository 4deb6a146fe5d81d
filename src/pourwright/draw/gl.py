"""Triangles drawn by PyVista: each in a colour that is its own number, without light, so that the image tells who is
seen where.

VTK's off-screen windows need libEGL, libOSMesa or an X server of the system, and end the process where they find none
of them. Whether they work is therefore tried first in a process of its own; where they do not, the compiled loops of
`pictures_raster` draw the same. These loops also settle what a window rounds: see there.
"""

from __future__ import annotations

import os
import subprocess
import sys
from functools import cache
from typing import Any

import numpy as np
import pyvista as pv

PROBE = """
import vtkmodules.vtkRenderingOpenGL2
from vtkmodules.vtkFiltersSources import vtkSphereSource
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper, vtkRenderer, vtkRenderWindow
from vtkmodules.vtkRenderingCore import vtkWindowToImageFilter
ball, shown, actor, scene, window = vtkSphereSource(), vtkPolyDataMapper(), vtkActor(), vtkRenderer(), vtkRenderWindow()
shown.SetInputConnection(ball.GetOutputPort())
actor.SetMapper(shown)
actor.GetProperty().LightingOff()
scene.AddActor(actor)
window.AddRenderer(scene)
window.SetOffScreenRendering(True)
window.SetSize(8, 8)
window.Render()
image = vtkWindowToImageFilter()
image.SetInput(window)
image.Update()
assert image.GetOutput().GetScalarRange()[1] > 200
"""
"""VTK's own names: PyVista, which draws with them afterwards, takes three times as long to load."""
PROBE_S = 60.0
WINDOWS = {"linux": ("vtkEGLRenderWindow", "vtkOSOpenGLRenderWindow")}
"""Linux without a display: VTK left to itself looks for an X server and says aloud that there is none."""
SWITCH = "POURWRIGHT_DRAW"  # "kernels" keeps PyVista's window out of it
LARGEST = 4096  # [px] the side of an off-screen window that every driver gives
NUMBERS = 2**24 - 1  # colours of three bytes


@cache
def window() -> str | None:
    """Name of the off-screen window of VTK that works here, each tried in a process of its own; None if none does."""
    if os.environ.get(SWITCH) == "kernels":
        return None
    for name in WINDOWS.get(sys.platform, ("",)):
        try:
            tried = subprocess.run(
                [sys.executable, "-c", PROBE], capture_output=True, timeout=PROBE_S, env={**os.environ, **_asked(name)}
            )
        except (OSError, subprocess.TimeoutExpired):
            continue
        if tried.returncode == 0:
            return name
    return None


def can_render() -> bool:
    """Whether PyVista can draw here."""
    return window() is not None


def fits(shape: tuple[int, int], triangles: int) -> bool:
    """Whether a canvas (h, w) and so many triangles can be drawn in one go."""
    return max(shape) <= LARGEST and triangles <= NUMBERS


def seen(corner: np.ndarray, shape: tuple[int, int]) -> np.ndarray:
    """Which triangle is nearest in each pixel.

    Parameters
    ----------
    corner : ndarray (m, 3, 3)
        Corners: x and y in pixels (y down), depth towards the viewer.
    shape : (int, int)
        Height and width of the canvas in pixels.

    Returns
    -------
    ndarray (h, w) int32
        Place of the triangle in ``corner``, -1 where there is none.
    """
    height, width = shape
    if not len(corner):
        return np.full(shape, -1, np.int32)
    low, high = float(corner[:, :, 2].min()), float(corner[:, :, 2].max())
    # Depth to the size of the canvas: the window's depth buffer then tells apart what the eye could.
    deep = max(height, width) / max(high - low, 1e-9)
    points = np.stack([corner[:, :, 0], -corner[:, :, 1], (corner[:, :, 2] - low) * deep], axis=-1).reshape(-1, 3)
    corners: Any = np.arange(len(points)).reshape(-1, 3)
    surface = pv.PolyData.from_regular_faces(points, corners)
    number = np.arange(1, len(corner) + 1, dtype=np.uint32)
    surface.cell_data["number"] = np.stack([number >> 16, number >> 8, number], axis=-1).astype(np.uint8)
    plotter = _plotter(width, height)
    try:
        plotter.add_mesh(surface, scalars="number", rgb=True, lighting=False, show_scalar_bar=False, culling=False)
        reach = (high - low) * deep
        camera = plotter.camera
        camera.parallel_projection = True
        camera.focal_point = (width / 2, -height / 2, 0.0)
        camera.position = (width / 2, -height / 2, reach + 2.0)
        camera.up = (0.0, 1.0, 0.0)
        camera.parallel_scale = height / 2
        camera.clipping_range = (1.0, reach + 3.0)
        image = np.asarray(plotter.screenshot(return_img=True))
    finally:
        plotter.close()
    found = np.zeros(shape, np.int32)
    for byte in range(3):
        found <<= 8
        found |= image[:, :, byte]
    found[found > len(corner)] = 0
    found -= 1
    return found


def _plotter(width: int, height: int) -> Any:
    """An off-screen window without light, smoothing or background."""
    os.environ.update(_asked(window() or ""))
    plotter: Any = pv.Plotter(off_screen=True, window_size=[width, height], lighting="none")
    plotter.set_background("black")
    plotter.disable_anti_aliasing()
    plotter.render_window.SetMultiSamples(0)
    return plotter


def _asked(name: str) -> dict[str, str]:
    return {"VTK_DEFAULT_OPENGL_WINDOW": name} if name else {}
