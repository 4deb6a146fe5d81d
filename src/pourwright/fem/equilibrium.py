"""Equilibrium of a shell that stretches as it bulges, or that leans on foam which can only push."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from numpy.typing import ArrayLike

from pourwright.errors import ShellError
from pourwright.fem import triangle
from pourwright.fem.factor import Factor
from pourwright.fem.model import UNKNOWNS, ShellModel
from pourwright.fem.stress import mean_strain

_TOLERANCE = 1e-8  # of the load
_FLOOR = 1e-5
_ROUNDS = 60
_STIFFER = (1e-4, 1e-3, 1e-2, 1e-1, 1.0)  # of its own diagonal, added to a tangent that is not stiff every way

TURN_RAD = 0.2  # up to which large turns are right: sin and tan differ by 3 %, a third of the bulge they stand for


@dataclass(frozen=True, eq=False)
class Contact:
    """Springs at vertices that only push: foam, a cradle or a shore behind (or before) the skin.

    ``stiffness_n_m`` (n,) per vertex, 0 where there is none; ``direction`` (n, 3) unit, the way a spring pushes the
    skin (the outward normal for foam inside); ``gap_m`` (n,) the skin moves against ``direction`` before it touches.
    """

    stiffness_n_m: np.ndarray
    direction: np.ndarray
    gap_m: np.ndarray | float = 0.0

    def press(self, movement: np.ndarray) -> np.ndarray:
        """How far each spring is pressed [m], not below zero, (n,), under vertex movements (n, 6)."""
        into = -(movement[:, :3] * self.direction).sum(axis=1) - self.gap_m
        return np.where(self.stiffness_n_m > 0, np.maximum(into, 0.0), 0.0)


@dataclass(frozen=True, eq=False)
class Equilibrium:
    """A shell at rest. ``movement`` (size,) [m, rad]; ``push_n`` (n,) of the contact springs; read-only.

    ``residual`` is the unbalanced force as a share of the load, ``rounds`` the factorisations it took, ``turn_rad`` how
    far a triangle turns out of its plane, the greatest: beyond ``TURN_RAD`` the theory no longer holds.
    """

    movement: np.ndarray
    push_n: np.ndarray
    residual: float
    rounds: int
    turn_rad: float
    order: Factor  # an emptied one, to be given on as ``like``


@dataclass(frozen=True, eq=False)
class Guide:
    """Where the search for a rest starts, and when it is given up.

    ``start`` (size,) movement to start from, such as the answer for a smaller load; ``most_turn_rad``: with large
    turns it is given up (``TurnsTooFarError``) where a triangle turns farther; ``like`` a factor of this shell with
    these supports, whose order is used again.
    """

    start: np.ndarray | None = None
    most_turn_rad: float = np.inf
    like: Factor | None = None


UNGUIDED = Guide()


class TurnsTooFarError(ShellError):
    """On its way to rest a shell turned farther than it was allowed to: there is no figure for it."""


def springs(model: ShellModel, vertices: ArrayLike, directions: ArrayLike, stiffness_n_m: ArrayLike) -> sp.csr_array:
    """Stiffness (size, size) of springs to the ground that pull and push.

    ``vertices`` (k,), unit ``directions`` (3,) or (k, 3), stiffness one number or (k,) [N/m].
    """
    where = np.atleast_1d(np.asarray(vertices, np.int64))
    d = np.broadcast_to(np.asarray(directions, float), (len(where), 3))
    k = np.broadcast_to(np.asarray(stiffness_n_m, float), (len(where),))
    blocks = k[:, None, None] * d[:, :, None] * d[:, None, :]
    unknowns = UNKNOWNS * where[:, None] + np.arange(3)
    rows, cols = np.broadcast_arrays(unknowns[:, :, None], unknowns[:, None, :])
    return sp.csr_array((blocks.ravel(), (rows.ravel(), cols.ravel())), shape=(model.size, model.size))


class _Shell:
    """Energy, forces and tangent of the shell with everything that holds it."""

    def __init__(self, model: ShellModel, large: bool, extra: sp.csr_array | None, contact: Contact | None):
        self.model, self.large, self.contact = model, large, contact
        f = model.facets
        k = triangle.element_stiffness(f, model.thickness_m, model.youngs_pa, model.poisson, mean_membrane=not large)
        self.fixed = model.sum_blocks(triangle.to_global(f, k))
        if extra is not None:
            self.fixed = sp.csr_array(self.fixed + extra)
        if large:
            self.volume = f.area * model.thickness_m
            self.c = triangle.plane_stress(model.youngs_pa, model.poisson)
            self.linear = np.zeros((len(f.area), 3, 18))
            self.linear[:, :, triangle.MEMBRANE] = triangle.membrane_strain(f)
            self.slopes = triangle.gradients(f)

    def _stretched(self, u: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Strain (m, 3), its derivative (m, 3, 18) and the forces through the wall N A (m, 3), local axes."""
        m = self.model
        local = triangle.to_local(m.facets, u.reshape(-1, UNKNOWNS)[m.triangles])
        strain = mean_strain(m, local, True)
        slope = self.slopes.transpose(0, 2, 1) @ local.reshape(-1, 3, UNKNOWNS)[:, :, :3]  # (m, xy, uvw)
        b = self.linear.copy().reshape(-1, 3, 3, UNKNOWNS)
        gx, gy = self.slopes[:, :, 0, None], self.slopes[:, :, 1, None]
        sx, sy = slope[:, None, 0], slope[:, None, 1]
        b[:, 0, :, :3] += gx * sx
        b[:, 1, :, :3] += gy * sy
        b[:, 2, :, :3] += gx * sy + gy * sx
        force = (self.c @ strain[..., None])[..., 0] * self.volume[:, None]
        return strain, b.reshape(-1, 3, 18), force

    def turn(self, u: np.ndarray) -> float:
        """How far a triangle turns out of its plane, the greatest [rad]."""
        return greatest_turn(self.model, u)

    def energy(self, u: np.ndarray) -> float:
        total = 0.5 * float(u @ (self.fixed @ u))
        if self.large:
            strain, _, force = self._stretched(u)
            total += 0.5 * float((strain * force).sum())
        if self.contact is not None:
            press = self.contact.press(u.reshape(-1, UNKNOWNS))
            total += 0.5 * float((self.contact.stiffness_n_m * press**2).sum())
        return total

    def forces(self, u: np.ndarray) -> np.ndarray:
        """Derivative of the energy, (size,)."""
        out = self.fixed @ u
        if self.large:
            _, b, force = self._stretched(u)
            local = (b.transpose(0, 2, 1) @ force[..., None])[..., 0]
            corner = local.reshape(-1, 6, 3) @ self.model.facets.axes
            out = out + self.model.scatter(corner.reshape(-1, 3, UNKNOWNS)).ravel()
        if self.contact is not None:
            push = self.contact.stiffness_n_m * self.contact.press(u.reshape(-1, UNKNOWNS))
            held = np.zeros((len(push), UNKNOWNS))
            held[:, :3] = -push[:, None] * self.contact.direction
            out = out + held.ravel()
        return out

    def tangent(self, u: np.ndarray) -> sp.csr_array:
        k = self.fixed
        if self.large:
            _, b, force = self._stretched(u)
            local = b.transpose(0, 2, 1) @ (self.c * self.volume[:, None, None]) @ b
            pull = np.stack([force[:, [0, 2]], force[:, [2, 1]]], axis=1)  # [[xx, xy], [xy, yy]] times area
            across = self.slopes @ pull @ self.slopes.transpose(0, 2, 1)
            view = local.reshape(-1, 3, UNKNOWNS, 3, UNKNOWNS)
            for i in range(3):
                view[:, :, i, :, i] += across
            k = k + self.model.sum_blocks(triangle.to_global(self.model.facets, local))
        if self.contact is not None:
            touching = np.flatnonzero(self.contact.press(u.reshape(-1, UNKNOWNS)) > 0)
            if len(touching):
                k = k + springs(
                    self.model, touching, self.contact.direction[touching], self.contact.stiffness_n_m[touching]
                )
        return sp.csr_array(k)


def equilibrium(
    model: ShellModel,
    load: np.ndarray,
    held: np.ndarray,
    large: bool = False,
    contact: Contact | None = None,
    extra: sp.csr_array | None = None,
    guide: Guide = UNGUIDED,
) -> Equilibrium:
    """Bring a shell to rest under a load, by Newton's method with a step that never climbs in energy.

    Parameters
    ----------
    model : the shell.
    load : (size,) forces [N] and moments [N m]; dead: they keep their direction as the shell bulges.
    held : (n, 6) or (size,) bool, unknowns kept at zero.
    large : count the stretch that sideways movement brings (membrane stiffening). Needed where a panel bulges by
        more than about half its thickness.
    contact : springs that only push, optional.
    extra : (size, size) further stiffness that pulls and pushes (anchors, bonded foam), optional.
    guide : where the search starts and when it is given up, optional.

    Returns
    -------
    Equilibrium

    Notes
    -----
    ``large`` uses the whole square terms of the mean strain of each triangle and linear bending: right for turns up to
    about 0.2 rad (``TURN_RAD``), small strain; ``turn_rad`` of the answer says how far they went. Where the shell is
    about to snap or wrinkle its tangent is not stiff every way and Newton's step would climb: the tangent is then
    stiffened until it is. A shell that snaps through, or stands on contact alone and can lift off, may have no rest
    near by: then a ``ShellError`` says so.
    """
    held = np.asarray(held, bool).ravel()
    start, like = guide.start, guide.like
    shell = _Shell(model, large, extra, contact)
    u = np.zeros(model.size) if start is None else np.array(start, float)
    if contact is not None and start is None:
        # Nothing touches yet: press every spring a hair, so that a shell on foam alone is held in the first round.
        u.reshape(-1, UNKNOWNS)[:, :3] = -1e-12 * contact.direction
    u[held] = 0.0
    scale = max(float(np.linalg.norm(load[~held])), 1e-300)
    factor: Factor | None = None
    loose = contact is not None
    before = np.inf
    if large:
        _hold(shell.turn(u), guide.most_turn_rad)
    for rounds in range(_ROUNDS):
        residual = load - shell.forces(u)
        left = float(np.linalg.norm(residual[~held])) / scale
        # Rounding sets a floor for thin shells: no longer falling, and small, is as near as one gets.
        if rounds and (left < _TOLERANCE or (left < _FLOOR and left > 0.5 * before)):
            assert factor is not None
            factor.forget()
            return _result(shell, u, contact, left, rounds, factor)
        before = left
        if factor is None or large or contact is not None:
            if factor is not None:
                factor.forget()  # two at a time would double the memory
            factor = Factor(shell.tangent(u), held, model.vertices_m, like=factor or like, loose=loose)
        step = factor.solve(residual)
        if large and (factor.negative_pivots or residual @ step <= 0):
            step = _stiffened(shell, u, held, residual)
        straight = not large and contact is None  # the energy is a bowl: the whole step ends at its bottom
        u = u + step if straight else _downhill(shell, load, u, step, residual)
        if large:
            _hold(shell.turn(u), guide.most_turn_rad)
    raise ShellError(
        f"no rest found in {_ROUNDS} rounds (unbalanced {before:.2g} of the load): "
        "the shell may snap through, or lift off what it leans on; try a smaller load"
    )


def _hold(turned_rad: float, most_rad: float) -> None:
    if not turned_rad <= most_rad:
        raise TurnsTooFarError(
            f"the skin would turn by more than {np.degrees(most_rad):.0f} degrees, beyond what its theory holds for"
        )


def _stiffened(shell: _Shell, u: np.ndarray, held: np.ndarray, residual: np.ndarray) -> np.ndarray:
    """A step that goes downhill where the tangent is not stiff every way: with as much added as that takes."""
    tangent = shell.tangent(u)
    more = sp.diags_array(np.abs(shell.fixed.diagonal()))
    factor: Factor | None = None
    for share in _STIFFER:
        if factor is not None:
            factor.forget()
        factor = Factor(sp.csr_array(tangent + share * more), held, shell.model.vertices_m, like=factor)
        if not factor.negative_pivots:
            break
    assert factor is not None
    return factor.solve(residual)


def greatest_turn(model: ShellModel, movement: np.ndarray) -> float:
    """How far a triangle turns out of its plane, the greatest [rad], under a movement (size,)."""
    local = triangle.to_local(model.facets, movement.reshape(-1, UNKNOWNS)[model.triangles])
    across = local.reshape(-1, 3, UNKNOWNS)[:, :, 2]
    slope = (triangle.gradients(model.facets).transpose(0, 2, 1) @ across[..., None])[..., 0]
    return float(np.sqrt((slope**2).sum(axis=1)).max())


def _downhill(shell: _Shell, load: np.ndarray, u: np.ndarray, step: np.ndarray, residual: np.ndarray) -> np.ndarray:
    """``u`` plus the longest of 1, 1/2, 1/4 .. of the step that lowers the potential energy enough."""
    slope = float(residual @ step)
    before = shell.energy(u) - float(load @ u)
    share = 1.0
    for _ in range(20):
        new = u + share * step
        after = shell.energy(new) - float(load @ new)
        if after <= before - 1e-4 * share * abs(slope) or abs(slope) * share < 1e-12 * abs(before):
            return new
        share /= 2
    return u + share * step


def _result(
    shell: _Shell, u: np.ndarray, contact: Contact | None, residual: float, rounds: int, order: Factor
) -> Equilibrium:
    push = np.zeros(len(u) // UNKNOWNS)
    if contact is not None:
        push = contact.stiffness_n_m * contact.press(u.reshape(-1, UNKNOWNS))
    for array in (u, push):
        array.setflags(write=False)
    return Equilibrium(u, push, residual, rounds, shell.turn(u), order)
