"""A rod across a gap: bending, buckling and prising, against finite elements of a bar (solved by scipy) and by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.linalg import eigh
from scipy.optimize import linprog

from pourwright.physics.wall_anchors import plate_pull, rod_push, rod_stress


def cantilever(length, second, modulus, parts=20):
    """Stiffness and geometric stiffness (per unit push) of a bar held at one end: cubic beam elements."""
    size = 2 * (parts + 1)
    stiff, turned = np.zeros((size, size)), np.zeros((size, size))
    h = length / parts
    one = modulus * second / h**3 * np.array(
        [[12, 6 * h, -12, 6 * h], [6 * h, 4 * h**2, -6 * h, 2 * h**2],
         [-12, -6 * h, 12, -6 * h], [6 * h, 2 * h**2, -6 * h, 4 * h**2]])  # fmt: skip
    two = np.array(
        [[36, 3 * h, -36, 3 * h], [3 * h, 4 * h**2, -3 * h, -(h**2)],
         [-36, -3 * h, 36, -3 * h], [3 * h, -(h**2), -3 * h, 4 * h**2]]) / (30 * h)  # fmt: skip
    for k in range(parts):
        at = slice(2 * k, 2 * k + 4)
        stiff[at, at] += one
        turned[at, at] += two
    return stiff[2:, 2:], turned[2:, 2:]


def test_a_slender_rod_is_held_to_the_buckling_load_of_beam_elements():
    d, length, modulus = 0.01, 1.0, 210e9
    stiff, turned = cantilever(length, math.pi * d**4 / 64, modulus)
    lowest = 1.0 / eigh(turned, stiff, eigvals_only=True)[-1]
    assert rod_push(1e12, modulus, d, length, 1.0) == pytest.approx(lowest, rel=2e-3)
    assert rod_push(1e12, modulus, d, length, 3.0) == pytest.approx(lowest / 3, rel=2e-3)


def test_a_short_rod_is_squashed():
    assert rod_push(160e6, 210e9, 0.02, 0.0, 3.0) == pytest.approx(160e6 * math.pi * 0.01**2)


def test_no_rod_takes_more_than_either():
    for length in np.linspace(0.05, 1.0, 7):
        stiff, turned = cantilever(length, math.pi * 0.016**4 / 64, 210e9)
        euler = 1.0 / eigh(turned, stiff, eigvals_only=True)[-1] / 3
        assert rod_push(160e6, 210e9, 0.016, length, 3.0) < min(euler, 160e6 * math.pi * 0.008**2)


def test_bending_by_integrating_the_stress_over_the_section():
    """Stress s y / r over a disc carries the moment V e; the greatest of it and the even stress of the pull add up."""
    d, shear, pull, arm = 0.016, 700.0, -1200.0, 0.08
    y = np.linspace(-d / 2, d / 2, 200001)
    wide = 2 * np.sqrt(np.maximum((d / 2) ** 2 - y**2, 0))
    step = y[1] - y[0]
    moment, area = (wide * y * y / (d / 2)).sum() * step, wide.sum() * step
    assert rod_stress(shear, pull, d, arm) == pytest.approx(shear * arm / moment + 1200.0 / area, rel=1e-5)


def test_prising_by_linear_programming_over_every_pressure_of_the_plate():
    """The least pull of a fixing in the middle that any pushes of the wall under the plate can balance."""
    shear, pull, arm, side = 500.0, 300.0, 0.06, 0.1
    x = np.linspace(-side / 2, side / 2, 41)
    # Unknown: the fixing's pull, then pushes; forces sum to the pull on the plate, moments to shear times arm.
    found = linprog(
        np.r_[1.0, np.zeros(41)],
        A_eq=[np.r_[1.0, -np.ones(41)], np.r_[0.0, x]],
        b_eq=[pull, shear * arm],
    )
    assert plate_pull(shear, pull, arm, side) == pytest.approx(found.x[0])


def test_a_round_column_of_a_textbook():
    """Shigley's Mechanical Engineering Design, a round column 1.5 m long between pins (example 4-17, from memory).

    22 kN with a design factor of 4 on Euler's load, E = 207 GPa, asks for 37.48 mm. Held at one end it is half as long;
    where the stress is no matter, Rankine's sum is Euler's load.
    """
    assert rod_push(1e18, 207e9, 0.03748, 0.75, 4.0) == pytest.approx(22e3, rel=1e-3)
