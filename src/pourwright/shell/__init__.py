"""Which surface is the skin, whether it can be trusted, how thick it is, what it is made of, where it is open."""

from pourwright.shell.load import ShellReport, load_skin, shell_report
from pourwright.shell.material import custom_material, material_names, skin_material
from pourwright.shell.panel_shape import Panel
from pourwright.shell.panels import flattest_panel, panels
from pourwright.shell.skin import Finding, Opening, Skin, SkinKind, SkinMaterial, WallBand
from pourwright.shell.wall import check_bands

__all__ = [
    "Finding",
    "Opening",
    "Panel",
    "ShellReport",
    "Skin",
    "SkinKind",
    "SkinMaterial",
    "WallBand",
    "check_bands",
    "custom_material",
    "flattest_panel",
    "load_skin",
    "material_names",
    "panels",
    "shell_report",
    "skin_material",
]
