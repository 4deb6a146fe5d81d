"""Marching the network through time by super-time-stepping, and reading it after every step."""

from __future__ import annotations

import copy
from functools import lru_cache
from typing import Protocol

import numpy as np

from pourwright.heat import _kernels as kernels
from pourwright.heat._led import lead, rods_of
from pourwright.heat._network import Network, build_network
from pourwright.heat._team import Team, parts
from pourwright.heat.curve import step_within
from pourwright.heat.model import HeatResult, PourTemperatures, StagedHeat

_NAN = float("nan")
_SHARED = (
    "thresholds", "rise", "chunk_start", "chunk_stop", "block_run", "block_odd", "chunk_work", "pour_chunks",
    "pour_share", "curve_end_s", "curve_last_s",
)  # fmt: skip
_SAFETY = 0.98  # of the stable step
_ODD_COST = 4  # an odd cell in terms of regular ones, for sharing work between threads
_FEW = 100_000  # regular cells, or as much work: below, to wake another thread for every stage takes more than it gives


@lru_cache(maxsize=256)
def rkl2(stages: int) -> tuple[float, tuple[tuple[float, float, float, float, float], ...]]:
    """Coefficients of the second-order Runge-Kutta-Legendre scheme with ``stages`` (3 or more, odd).

    Returns the first stage's ``mu~`` and, for stages 2 and on, ``(mu, nu, 1 - mu - nu, mu~, gamma~)``. Stable for
    ``step <= (stages^2 + stages - 2) / 4`` times the step of forward Euler.

    References
    ----------
    Meyer, Balsara & Aslam, Journal of Computational Physics 257 (2014) 594-626, eqs. 16-18 (from memory; the order
    and the stable step are measured in the tests).
    """
    b = [1 / 3, 1 / 3, *((j * j + j - 2) / (2 * j * (j + 1)) for j in range(2, stages + 1))]
    w = 4 / (stages * stages + stages - 2)
    rows = []
    for j in range(2, stages + 1):
        mu = (2 * j - 1) / j * b[j] / b[j - 1]
        nu = -(j - 1) / j * b[j] / b[j - 2]
        slope = mu * w
        rows.append((mu, nu, 1 - mu - nu, slope, -(1 - b[j - 1]) * slope))
    return b[1] * w, tuple(rows)


@lru_cache(maxsize=256)
def _rows(stages: int) -> np.ndarray:
    """Coefficients of the stages 2 and on of ``rkl2``, (stages - 1, 5)."""
    made = np.array(rkl2(stages)[1])
    made.setflags(write=False)
    return made


def stages_for(step: float, stiffest: float) -> int:
    """Least odd number of stages, 3 or more, that makes ``step`` [s] stable for rates up to ``stiffest`` [1/s]."""
    ratio = step * stiffest / (2 * _SAFETY)
    stages = int(np.ceil(0.5 * ((9 + 16 * ratio) ** 0.5 - 1)))
    return max(3, stages + 1 - stages % 2)


class Watching(Protocol):
    """What looks at a march while it goes on."""

    def started(self, march: March, count: int) -> None:
        """``count`` pours have just come."""

    def stepped(self, march: March) -> None:
        """A step is done."""


class March:
    """The state of one computation in time; lives for the length of one call."""

    def __init__(self, problem: StagedHeat, team: Team, watcher: Watching | None = None):
        self.problem, self.team, self.watcher = problem, team, watcher
        self.net: Network = build_network(problem)
        net, air = self.net, problem.surroundings.air_k
        n, m, pours = len(net.flat), len(net.cell), len(problem.pours)
        # One spare cell stands for air that is never foam: it is read with weight zero.
        self.now, self.before, self.other, self.slope = (np.full(n + 1, air) for _ in range(4))
        self.skin, self.skin_before, self.skin_other, self.skin_slope = (
            np.full(m, float(problem.skin.start_k)) for _ in range(4)
        )
        self.slope[:] = 0.0
        self.skin_slope[:] = 0.0
        self.led = rods_of(problem, net)
        self.led_film = np.zeros(len(self.led.heat))
        self.coef, self.bare = net.coef.copy(), np.zeros(m, np.uint8)  # of the odd cells, and how many faces are open
        self.peak = np.full(n, -np.inf)
        self.skin_peak = np.full(m, -np.inf)
        self.above = np.zeros((len(problem.thresholds_k), n), np.float32)
        self.thresholds = np.array(problem.thresholds_k, float)
        self.starts = np.full(pours, np.inf)
        self.done = np.zeros(pours)  # share of each pour's heat that is out
        self.rise = np.array([p.adiabatic_rise_k for p in problem.pours])
        self.time, self.active, self.steps, self.stages = float(problem.pours[0].start_s), 0, 0, 0
        self.last_start = self.time
        self.lost, self.loss_now, self.released, self.start_heat, self.heat = 0.0, 0.0, 0.0, 0.0, 0.0
        self.rows: list[np.ndarray] = []
        self.times: list[float] = []
        bounds = [
            np.append(np.arange(a, b, kernels.CHUNK), b)
            for a, b in zip(net.pour_cells, net.pour_cells[1:], strict=False)
        ]
        self.chunk_start = np.concatenate([c[:-1] for c in bounds]).astype(np.int64)
        self.chunk_stop = np.concatenate([c[1:] for c in bounds]).astype(np.int64)
        # A run belongs to the chunk it starts in; it never crosses into another pour.
        edges = np.append(self.chunk_start, len(net.flat))
        self.block_run = np.searchsorted(net.runs[:, 0], edges)
        self.block_odd = np.searchsorted(net.cell, edges)
        self.chunk_work = edges + _ODD_COST * self.block_odd
        self.pour_chunks = np.concatenate([[0], np.cumsum([len(c) - 1 for c in bounds])])
        self.pour_share = np.array(
            [net.share[a:b].sum() for a, b in zip(net.pour_cells, net.pour_cells[1:], strict=False)]
        )
        curves = [p.curve for p in problem.pours]
        self.curve_end_s = np.array([curve.end_s for curve in curves])
        self.curve_last_s = np.array([curve.time_s[-1] for curve in curves])
        self.hottest, self.chunk_heat = np.zeros(len(self.chunk_start)), np.zeros(len(self.chunk_start))
        self.read = np.zeros((pours, 6))

    def start_pours(self, count: int) -> None:
        """Pour the next ``count`` pours now."""
        net, problem = self.net, self.problem
        for p in range(self.active, self.active + count):
            a, b = net.pour_cells[p], net.pour_cells[p + 1]
            if problem.start_field_k is None:
                self.now[a:b] = problem.pours[p].start_k + self._warmed(p)
            else:
                self.now[a:b] = problem.start_field_k.ravel()[net.flat[a:b]]
            skin = slice(net.pour_odd[p], net.pour_odd[p + 1])
            self.start_heat += float(net.capacity[p] * np.dot(net.share[a:b], self.now[a:b]))
            self.start_heat += float(problem.skin.start_k * net.skin_heat[skin].sum())
            self.starts[p] = self.time
        self.active += count
        self.last_start = self.time
        cells, odd = int(net.pour_cells[self.active]), int(net.pour_odd[self.active])
        kernels.open_faces(net.around, net.coef, net.bare_film, cells, odd, self.coef, self.bare)
        self.led_film = self.led.film(odd, problem.surroundings.inside_film_w_m2k)
        size = self.team.size
        self.chunk_cuts = parts(self.chunk_work[: self.pour_chunks[self.active] + 1], size)
        self.few = size < 2 or int(self.chunk_work[self.pour_chunks[self.active]] - self.chunk_work[0]) < _FEW
        self._look(0.0)
        self.loss_now = self._loss()
        self._note()
        if self.watcher is not None:
            self.watcher.started(self, count)

    def _warmed(self, p: int) -> float:
        """What the liquid of pour ``p`` has taken up from the faces it lies on, of their mean excess [K].

        Of the hottest face where it stands on none and only lies beside foam.
        """
        pour, net = self.problem.pours[p], self.net
        if pour.warming == 0 or not self.active:
            return 0.0
        face = kernels.stood_on(
            net.cell, net.around, net.bare_share, net.cell_pour, net.share, p, net.pour_cells[self.active],
            net.pour_odd[self.active], self.problem.surroundings.air_k, self.now,
        )  # fmt: skip
        if face < -1e299:
            face = self.surface_under_k(pour.lift)
        return pour.warming * max(0.0, face - pour.start_k) if np.isfinite(face) else 0.0

    def copied(self) -> March:
        """The same state once more, to look ahead with; network and team are shared."""
        other = copy.copy(self)
        for name, value in vars(self).items():
            if isinstance(value, np.ndarray) and name not in _SHARED:
                setattr(other, name, value.copy())
        other.rows, other.times = list(self.rows), list(self.times)
        return other

    def doses_s(self) -> np.ndarray:
        """(thresholds, pours) how long the spot of each pour that is above each threshold longest has been above it."""
        net = self.net
        out = np.zeros((len(self.thresholds), len(self.rise)))
        for p in range(self.active):
            a, b = net.pour_cells[p], net.pour_cells[p + 1]
            if b > a:
                out[:, p] = self.above[:, a:b].max(axis=1)
        return out

    def longest_step(self) -> float:
        """The step that the accuracy rules allow from here [s]."""
        rules = self.problem.settings
        step = min(
            rules.longest_step_s,
            self.led.settles_s,
            max(rules.first_step_s, rules.growth * (self.time - self.last_start)),
        )
        since = self.time - self.starts[: self.active]
        for p in np.flatnonzero(since < self.curve_end_s[: self.active]):
            curve = self.problem.pours[p].curve
            step = min(step, step_within(curve.time_s, curve.share, float(since[p]), rules.curve_share))
        return step

    def advance(self, step: float) -> None:
        """One step of ``step`` seconds, read and noted."""
        net, count = self.net, self.active
        after = self._out_by(self.time + step)
        gained = np.zeros(len(self.rise))
        gained[:count] = after - self.done[:count]
        source = gained * self.rise / step
        stages = stages_for(step, net.stiffest)
        if len(self.led.heat):
            self._with_rods(step, stages, source)
        else:
            self._stages(step, stages, source)
        self.done[:count] = after
        whole = net.capacity[:count] * self.pour_share[:count]
        self.released += float(np.dot(whole, gained[:count] * self.rise[:count]))
        self.time += step
        self.steps += 1
        self.stages += stages
        self._look(step)
        loss = self._loss()
        self.lost += 0.5 * step * (self.loss_now + loss)
        self.loss_now = loss
        self._note()
        if self.watcher is not None:
            self.watcher.stepped(self)

    def _out_by(self, time: float) -> np.ndarray:
        """Share of its heat that each pour has given off by then, (active,)."""
        since = time - self.starts[: self.active]
        out = self.done[: self.active].copy()
        # one step beyond the end of its curve a pour has its last share already
        for p in np.flatnonzero((since <= self.curve_last_s[: self.active]) | (out < 1.0)):
            out[p] = self.problem.pours[p].curve.at(float(since[p]))
        return out

    def surface_under_k(self, lift: int) -> float:
        """Hottest face that foam of ``lift`` will lie on; -inf if it lies on none."""
        net = self.net
        lifts = np.array([p.lift for p in self.problem.pours])
        hot = kernels.landing(
            net.cell, net.around, net.bare_share, net.cell_pour, lifts, lift, net.pour_cells[self.active],
            net.pour_odd[self.active], self.problem.surroundings.air_k, self.now,
        )  # fmt: skip
        return float(hot) if hot > -1e299 else -np.inf

    def _stages(self, step: float, stages: int, source: np.ndarray) -> None:
        net, air = self.net, float(self.problem.surroundings.air_k)
        first, rows = rkl2(stages)
        y0, m0, s0, sm0 = self.now, self.slope, self.skin, self.skin_slope
        last, out, skin_last, skin_out = self.other, self.before, self.skin_other, self.skin_before
        cuts, runs, odd = self.chunk_cuts, self.block_run, self.block_odd
        where = (net.runs, net.rate, net.cell, net.around, self.coef, net.cell_pour_odd, source, air)

        def begin(part: int) -> None:
            kernels.first_stage(
                *where, y0, m0, last, s0, sm0, skin_last, first * step, runs, odd, cuts[part], cuts[part + 1]
            )

        if self.few:
            fields = (y0, m0, last, out, s0, sm0, skin_last, skin_out)
            kernels.whole_step(*where, *fields, first, _rows(stages), step, runs, odd, cuts[-1])
            rows = ()
        else:
            self.team.run(begin)
        for number, (mu, nu, rest, slope, gamma) in enumerate(rows):
            if number == 0:  # the stage before the first is the start itself
                rest, nu = rest + nu, 0.0
            weights = (mu, nu, rest, slope * step, gamma * step)
            fields = (y0, m0, last, out, s0, sm0, skin_last, skin_out)

            def later(part: int, fields: tuple = fields, weights: tuple = weights) -> None:  # type: ignore[type-arg]
                blocks = (runs, odd, cuts[part], cuts[part + 1])
                kernels.later_stage(*(*where, *fields, *weights, *blocks))

            self.team.run(later)
            last, out, skin_last, skin_out = out, last, skin_out, skin_last
        self.before, self.now, self.other = y0, last, out
        self.skin_before, self.skin, self.skin_other = s0, skin_last, skin_out

    def _with_rods(self, step: float, stages: int, source: np.ndarray) -> None:
        """Heat along the rods inside: half before foam and skin are marched, half after, which is of second order."""
        air, heat = self.problem.surroundings.air_k, self.net.skin_heat
        self.lost += lead(self.led, self.skin, heat, self.led_film, air, 0.5 * step)
        bare = self._bare()
        held = self.skin[bare].copy()  # the march writes only where foam is
        self._stages(step, stages, source)
        self.skin[bare] = held
        self.lost += lead(self.led, self.skin, heat, self.led_film, air, 0.5 * step)

    def _bare(self) -> slice:
        """Odd cells that foam does not fill yet."""
        return slice(int(self.net.pour_odd[self.active]), None)

    def _bare_heat(self) -> float:
        """What metal that no foam lies against yet has taken up [J]."""
        bare = self._bare()
        return float(np.dot(self.net.skin_heat[bare], self.skin[bare] - self.problem.skin.start_k))

    def _look(self, step: float) -> None:
        """Read the field after a step."""
        net, cuts = self.net, self.chunk_cuts
        before = self.before if step > 0 else self.now

        def read(part: int) -> None:
            kernels.read_cells(
                before, self.now, self.peak, self.above, self.thresholds, net.share, step, self.chunk_start,
                self.chunk_stop, self.hottest, self.chunk_heat, cuts[part], cuts[part + 1],
            )  # fmt: skip

        if self.few:
            cuts = [0, cuts[-1]]
            read(0)
        else:
            self.team.run(read)
        kernels.read_odd(
            net.cell, self.coef, net.skin_heat, net.inner, net.pour_odd, self.active, self.bare, net.bare_share,
            net.bare_area, self.problem.surroundings.air_k, self.now, self.skin, self.skin_peak, self.read,
        )  # fmt: skip

    def _loss(self) -> float:
        return float(self.read[: self.active, 0].sum())

    def _note(self) -> None:
        """Keep this moment for the histories."""
        net, count = self.net, self.active
        row = np.full((5, len(self.rise)), np.nan)
        self.heat = float(
            kernels.note_pours(
                self.hottest, self.chunk_heat, self.pour_chunks, self.pour_share, net.capacity, count, self.read, row
            )
        )
        self.times.append(self.time)
        self.rows.append(row)

    def result(self) -> HeatResult:
        """Everything seen so far."""
        net, problem = self.net, self.problem
        history = np.stack(self.rows, axis=-1)
        time = np.array(self.times)
        for array in (history, time):
            array.setflags(write=False)
        pours = tuple(self._pour(p, time, history) for p in range(len(problem.pours)))
        return HeatResult(
            pours=pours,
            thresholds_k=problem.thresholds_k,
            time_s=time,
            core_k=history[0],
            mean_k=history[1],
            top_k=history[2],
            top_mean_k=history[3],
            skin_k=history[4],
            released_j=self.released,
            stored_j=self.heat - self.start_heat + self._bare_heat(),
            lost_j=self.lost,
            cells=len(net.flat),
            cell_m=problem.grid.cell_m,
            steps=self.steps,
            stages=self.stages,
        )

    def _pour(self, p: int, time: np.ndarray, history: np.ndarray) -> PourTemperatures:
        net, grid = self.net, self.problem.grid
        a, b = int(net.pour_cells[p]), int(net.pour_cells[p + 1])
        name = self.problem.pours[p].name
        nowhere = np.full(3, np.nan)
        nowhere.setflags(write=False)
        none = (0.0,) * len(self.thresholds)
        if p >= self.active or a == b:
            start = float(self.starts[p]) if p < self.active else _NAN
            return PourTemperatures(name, start, _NAN, _NAN, nowhere, none, none, _NAN, _NAN, nowhere, _NAN)
        hot = a + int(np.argmax(self.peak[a:b]))
        point = grid.centres(net.flat[hot])
        odd = slice(net.pour_odd[p], net.pour_odd[p + 1])
        skin_k, skin_s, skin_point = _NAN, _NAN, nowhere
        if odd.stop > odd.start and np.isfinite(self.skin_peak[odd].max()):
            spot = odd.start + int(np.argmax(self.skin_peak[odd]))
            skin_k, skin_point = float(self.skin_peak[spot]), grid.surface_point_m[net.surface[spot]].copy()
            skin_s = float(time[np.nanargmax(history[4, p])])
        for array in (point, skin_point):
            array.setflags(write=False)
        above = self.above[:, a:b]
        volume = net.share[a:b] * grid.cell_m**3
        top = history[2, p]
        return PourTemperatures(
            name=name,
            start_s=float(self.starts[p]),
            peak_k=float(self.peak[hot]),
            peak_s=float(time[np.nanargmax(history[0, p])]),
            peak_point_m=point,
            hours_above=tuple(float(h) / 3600 for h in above.max(axis=1)),
            volume_above_m3=tuple(float(volume[seconds > 0].sum()) for seconds in above),
            skin_peak_k=skin_k,
            skin_peak_s=skin_s,
            skin_peak_point_m=skin_point,
            top_peak_k=float(np.nanmax(top)) if np.isfinite(top).any() else _NAN,
        )
