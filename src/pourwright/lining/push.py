"""The least lining that holds the flattest panel under a stated push."""

from __future__ import annotations

import math

from pourwright.foam import FoamAtShop
from pourwright.panels import Panel
from pourwright.physics.elastic.layers import two_layers
from pourwright.physics.elastic.plates_small import flexural_rigidity
from pourwright.shell import Skin

STRIP = 5.0 / 384.0
"""Middle of a simply supported strip under even load: w = 5 q b^4 / (384 D)."""


def strip_moves(skin: Skin, panel: Panel, foam: FoamAtShop, thickness_m: float, push_pa: float) -> float:
    """How far the flattest panel moves at its middle under an even push [m]: a flat strip across its width.

    Bonded as far as the skin takes a bond. Its curvature and its ends are left out: both make it stiffer.
    """
    rigidity = lined_rigidity(skin, panel, foam, thickness_m)
    return STRIP * push_pa * panel.width_m**4 / rigidity


def lined_rigidity(skin: Skin, panel: Panel, foam: FoamAtShop, thickness_m: float, bonded: bool | None = None) -> float:
    """Bending stiffness of skin and lining together per width [N m]; without a bond each bends by itself.

    What the two gain by acting together gives way by the shear of the foam, in series with it for one half wave across
    the panel: ``D = D1 + D2 + D12 / (1 + pi^2 D12 / (G t b^2))``. H. G. Allen, Analysis and Design of Structural
    Sandwich Panels, 1969 (from memory), for the series; that a lining shears over its own thickness is our judgement.
    """
    material, grade = skin.material, foam.grade
    core = grade.compressive_modulus_pa, grade.poisson, thickness_m
    bare = material.youngs_pa.nominal, material.poisson, panel.thickness_m
    apart = flexural_rigidity(*bare) + flexural_rigidity(*core)
    if thickness_m <= 0 or not (material.foam_bonds if bonded is None else bonded):
        return apart
    shear = grade.compressive_modulus_pa / (2.0 * (1.0 + grade.poisson)) * thickness_m
    together = two_layers(*bare, *core) - apart
    return apart + together / (1.0 + math.pi**2 * together / (shear * panel.width_m**2))


def least_lining(skin: Skin, panels: tuple[Panel, ...], foam: FoamAtShop, push_pa: float, share: float) -> float:
    """Least lining [m] with which the flattest panel moves no more than ``share`` of its width; 0 where none is needed.

    nan without a panel, or where half a metre would not do.
    """
    if not panels:
        return math.nan
    panel = panels[0]
    allowed = share * panel.width_m
    if strip_moves(skin, panel, foam, 0.0, push_pa) <= allowed:
        return 0.0
    low, high = 0.0, 0.5
    if strip_moves(skin, panel, foam, high, push_pa) > allowed:
        return math.nan
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if strip_moves(skin, panel, foam, middle, push_pa) > allowed else (low, middle)
    return high
