"""Light, colour and glass: from drawn triangles to an image."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from PIL import Image, ImageFilter

from pourwright.draw.bodies import Body, together
from pourwright.draw.raster import EMPTY, Box, facing, in_bands, kernel, lines, raster, shelter
from pourwright.draw.view import FINE, View

Colour = tuple[int, int, int]

PAPER: Colour = (250, 248, 243)
INK: Colour = (30, 44, 58)
GLASS_DARK, GLASS_LIGHT = (74, 94, 112), (252, 252, 250)
SETTLED: tuple[Colour, Colour] = ((186, 203, 216), (200, 215, 226))  # foam already in, two tints in turn
LIT = (232, 138, 24)  # this lift: darker than the foam below it and than the skin, in grey too
STEEL = (124, 153, 178)  # lines and bars of charts
NEUTRAL = (196, 203, 208)
LADDER = ((27, 43, 72), (52, 92, 128), (98, 141, 160), (168, 183, 168), (228, 205, 140), (252, 236, 190))
"""Dark blue to pale straw, lighter with every step: read right without telling hues apart."""
POOLS = ((30, 98, 150), (116, 183, 205), (20, 58, 92), (84, 140, 170), (160, 205, 220))
POCKETS = ((233, 142, 32), (246, 205, 96), (146, 84, 20), (214, 170, 110), (110, 66, 30))
"""Pools in blues, pockets in ambers; neighbours differ in lightness too."""

NOTHING = Box(0, 0, 0, 0)
KEY, FILL = (-0.50, 0.62, 0.60), (0.80, 0.10, 0.59)


@dataclass(frozen=True, eq=False)
class Layer:
    """One opaque drawing of bodies on the large canvas. Arrays read-only."""

    depth: np.ndarray  # (h, w) float32, EMPTY where nothing is
    tone: np.ndarray  # (h, w) float32, 0 dark to about 1 light
    rim: np.ndarray  # (h, w) float32, 0 seen head on to 1 seen edge on
    line: np.ndarray  # (h, w) float32 ink
    part: np.ndarray  # (h, w) int32, 0 where nothing is


class Drawing:
    """Bodies drawn one after another into the same depth; a `Layer` of the view's window can be taken after each.

    ``window``: see `raster`; a single picture is drawn sooner without. Of a layer only what bodies drawn since the last
    one can have changed is made anew.
    """

    def __init__(self, view: View, *, window: bool = True):
        self._view, self._window = view, window
        left, top, right, bottom = view.window
        shape = bottom - top, right - left
        self._depth = np.full(shape, EMPTY, np.float32)
        self._owner = np.full(shape, -1, np.int32)
        self._bodies: list[Body] = []
        self._count = 0
        self._made: tuple[int, np.ndarray, Layer] | None = None  # reach [pixels], hollows and layer made last
        self._changed = NOTHING  # since then

    def add(self, body: Body) -> None:
        """Draw one more body."""
        left, top, _, _ = self._view.window
        moved = replace(body, corner=body.corner - np.array([left, top, 0.0]))
        raster(moved.corner, self._count, self._depth, self._owner, window=self._window)
        self._bodies.append(moved)
        self._count += len(moved.corner)
        self._changed |= Box.round(moved.corner, self._depth.shape)

    def fork(self) -> Drawing:
        """A drawing that goes on from here by itself."""
        other = Drawing(self._view, window=self._window)
        other._depth[:], other._owner[:] = self._depth, self._owner
        other._bodies, other._count = list(self._bodies), self._count
        other._made, other._changed = self._made, self._changed
        return other

    def layer(self, reach_m: float) -> Layer:
        """What is drawn so far; hollows within ``reach_m`` lie in soft shadow."""
        pixel_m = FINE / self._view.scale
        reach = int(np.clip(reach_m / pixel_m, 6, 48))
        if self._made is not None and self._made[0] == reach:
            if self._changed == NOTHING:
                return self._made[2]
            _, hollow, last = self._made
        else:
            hollow = np.zeros([side // FINE for side in self._depth.shape], np.float32)
            last, self._changed = _empty(self._depth), Box.whole(self._depth.shape)
        hollow, made = self._followed(last, hollow, reach, 0.35 * reach_m) if self._count else (hollow, last)
        self._made, self._changed = (reach, hollow, made), NOTHING
        return made

    def _followed(self, last: Layer, hollow: np.ndarray, reach: int, jump_m: float) -> tuple[np.ndarray, Layer]:
        """Hollows and layer after the last ones, which are left as they are."""
        shape, changed = self._depth.shape, self._changed
        drawn = together(self._bodies)
        self._bodies = [drawn]
        # Shadow falls on pixels that look `reach` of the coarse ones, rounded, to what is new.
        coarse = Box(changed.top // FINE, -(-changed.bottom // FINE), changed.left // FINE, -(-changed.right // FINE))
        coarse = coarse.wider(reach + 2, hollow.shape)
        lit = Box(*(side * FINE for side in (coarse.top, coarse.bottom, coarse.left, coarse.right)))
        lit = replace(lit, bottom=shape[0]) if coarse.bottom == hollow.shape[0] else lit
        lit = replace(lit, right=shape[1]) if coarse.right == hollow.shape[1] else lit
        normal = facing(drawn.corner, drawn.normal, self._owner, lit)
        hollow = shelter(self._depth, normal, FINE, FINE / self._view.scale, reach, coarse, hollow)
        tone, rim, part = last.tone.copy(), last.rim.copy(), last.part.copy()
        up = np.ascontiguousarray(self._view.axes[:, 2])
        in_bands(_light, lit.bottom, lit.top, lit.left, normal, self._owner, hollow, up, FINE, tone, rim, first=lit.top)
        body = drawn.part * 2 + drawn.flat.astype(np.int32)
        ink = lines(self._owner, self._depth, body, jump_m, changed.wider(1, shape), last.line)
        owner = self._owner[changed.slices]
        part[changed.slices] = np.where(owner < 0, np.int32(0), drawn.part[owner])
        return hollow, _frozen(Layer(self._depth.copy(), tone, rim, ink, part))


def _empty(depth: np.ndarray) -> Layer:
    none = np.zeros(depth.shape, np.float32)
    return _frozen(Layer(depth.copy(), none, none.copy(), none.copy(), np.zeros(depth.shape, np.int32)))


def _frozen(layer: Layer) -> Layer:
    for array in (layer.depth, layer.tone, layer.rim, layer.line, layer.part):
        array.setflags(write=False)
    return layer


@kernel
def _light(row0, row1, top, left, normal, owner, hollow, up, step, tone, rim):  # type: ignore[no-untyped-def]
    for y in range(row0, row1):
        for x in range(left, left + normal.shape[1]):
            if owner[y, x] < 0:
                continue
            n0, n1, n2 = normal[y - top, x - left, 0], normal[y - top, x - left, 1], normal[y - top, x - left, 2]
            key = max(0.0, 0.25 + 0.75 * (n0 * KEY[0] + n1 * KEY[1] + n2 * KEY[2]))
            fill = max(0.0, n0 * FILL[0] + n1 * FILL[1] + n2 * FILL[2])
            sky = 0.5 + 0.5 * (n0 * up[0] + n1 * up[1] + n2 * up[2])
            dark = 1.0 - 1.25 * hollow[min(y // step, hollow.shape[0] - 1), min(x // step, hollow.shape[1] - 1)]
            tone[y, x] = (0.22 + 0.20 * sky) * dark + 0.56 * key * (0.35 + 0.65 * dark) + 0.08 * fill
            rim[y, x] = (1.0 - min(1.0, n2)) ** 2


def backdrop(view: View, skin: Body) -> Image.Image:
    """Paper with the soft shadow of the piece on the floor it stands on."""
    seen = skin.corner.copy()
    seen[..., :2] = (seen[..., :2] - view.shift) / (view.scale, -view.scale)
    standing = seen @ view.axes
    height = standing[..., 2].copy()
    standing[..., 2] = 0.0
    floor = view.standing(standing) / (FINE, FINE, 1.0)
    shape = (view.height // FINE, view.width // FINE)
    shade = np.zeros(shape)
    low = height.min(axis=1) < 0.1 * height.max()
    for chosen, blur, weight in ((slice(None), 0.014, 0.11), (low, 0.005, 0.20)):
        depth, owner = np.full(shape, EMPTY, np.float32), np.full(shape, -1, np.int32)
        raster(floor[chosen], 0, depth, owner, window=False)
        mask = Image.fromarray(np.where(owner >= 0, 255, 0).astype(np.uint8))
        shade += weight * np.asarray(mask.filter(ImageFilter.GaussianBlur(blur * shape[1])), float) / 255.0
    shade *= np.clip((shape[0] - np.arange(shape[0])) / 110.0, 0.0, 1.0)[:, None]  # gone at the foot of the canvas
    large = Image.fromarray(np.asarray(np.round(shade * 255), np.uint8)).resize((view.width, view.height))
    shades = Image.fromarray(np.arange(256, dtype=np.uint8)[None])  # mixed once each, not in every pixel
    mixed = Image.composite(Image.new("RGB", shades.size, INK), Image.new("RGB", shades.size, PAPER), shades)
    large.putpalette(mixed.tobytes())
    return large.convert("RGB")


@kernel
def _blend(  # type: ignore[no-untyped-def]
    row0, row1, image, depth, tone, line, part, skin_depth, skin_tone, skin_rim, skin_line, palette, ink, glass, haze
):
    for y in range(row0, row1):
        for x in range(depth.shape[1]):
            filled = depth[y, x] > EMPTY
            over = skin_depth[y, x] > EMPTY and (not filled or skin_depth[y, x] > depth[y, x])
            light = min(1.0, max(0.0, skin_tone[y, x] * 1.18 - 0.22))
            cover = min(0.92, haze * (0.30 if filled else 1.0) + (0.42 if filled else 0.62) * skin_rim[y, x])
            for c in range(3):
                colour = float(image[y, x, c])
                if filled:
                    t = tone[y, x]
                    colour = palette[part[y, x], c] * (0.30 + 0.78 * t)
                    if c == 2:  # shadow is a little blue
                        colour += 22.0 * (1.0 - t)
                    if t > 0.85:
                        colour += (255.0 - colour) * min(0.35, (t - 0.85) * 1.2)
                    colour += (ink[c] - colour) * 0.62 * line[y, x]
                if over:
                    colour += (glass[0, c] + (glass[1, c] - glass[0, c]) * light - colour) * cover
                    colour += (ink[c] - colour) * 0.55 * skin_line[y, x]
                image[y, x, c] = int(min(255.0, max(0.0, colour + 0.5)))


def blend(
    view: View, back: Image.Image, foam: Layer, skin: Layer, palette: np.ndarray, haze: float = 0.34
) -> Image.Image:
    """Foam behind a skin of frosted glass, on paper.

    Parameters
    ----------
    view : View
    back : Image
        The whole large canvas; left as it is.
    foam, skin : Layer
    palette : ndarray (parts, 3)
        Colour of each part of ``foam``, 0 to 255.
    haze : float
        How much the skin covers where it is seen head on and nothing is behind it.
    """
    made = np.array(back.crop(view.window))
    in_bands(
        _blend,
        len(made),
        made,
        *(foam.depth, foam.tone, foam.line, foam.part),
        *(skin.depth, skin.tone, skin.rim, skin.line),
        np.ascontiguousarray(palette, np.float64),
        np.asarray(INK, np.float64),
        np.asarray([GLASS_DARK, GLASS_LIGHT], np.float64),
        haze,
    )
    out = back.copy()
    out.paste(Image.fromarray(made), view.window[:2])
    return out


def ladder(count: int) -> np.ndarray:
    """``count`` colours (count, 3) along `LADDER`."""
    stops = np.asarray(LADDER, float)
    at = np.linspace(0.0, len(stops) - 1.0, count) if count > 1 else np.array([2.0])
    return np.column_stack([np.interp(at, np.arange(len(stops)), stops[:, c]) for c in range(3)])
