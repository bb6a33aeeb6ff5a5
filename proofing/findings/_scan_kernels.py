"""Compiled loops of the scan. Imported only when a picture is scanned: it imports numba."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from proofing.compiled import compiled
from proofing.photograph.photograph import OPAQUE_FROM

# channels of the scan's table
WANTED: Final = 0  # and 1, 2: J', a', b'
MISS: Final = 3
BEYOND: Final = 4
PRINT_STEPS: Final = 5
FILE_STEPS: Final = 6
BELOW_PAPER: Final = 7
PRINTED: Final = 8  # and 9, 10

# what is summed up over the pixels of a cell
PIXELS: Final = 0
OUT_OF_GAMUT: Final = 1
MISS_SUM: Final = 2
BEYOND_SCREEN: Final = 3
CLIPPED: Final = 4
TOP: Final = 5  # and 6, 7: by channel
BOTTOM: Final = 8
BARE: Final = 9
COLOUR_SUM: Final = 10  # wanted J', a', b', printed J', a', b' of what is out of gamut
SAME: Final = 16  # and 17: neighbours alike, across and down
ONE_CODE: Final = 18  # and 19: one code apart
FURTHER: Final = 20  # further apart
CODE_STEPS: Final = 21  # just-noticeable steps on the print over neighbours one code apart
WHITE: Final = 22  # all channels at the top
RISE: Final = 23  # and 24: of neighbours one code apart, those rising less those falling
SUMS: Final = 25

# what is summed up over a tone class of a cell
WEIGHT: Final = 0
FILE_SUM: Final = 1
PRINT_SUM: Final = 2
FILE_ENERGY: Final = 3  # and 4, 5: three bands
PRINT_ENERGY: Final = 6  # and 7, 8
BAND_WEIGHT: Final = 9  # and 10, 11
FILE_GRAIN: Final = 12
PRINT_GRAIN: Final = 13
GRAIN_WEIGHT: Final = 14
TONE_SUMS: Final = 15


@compiled
def gather(
    raw: Any, codes: Any, alpha: Any, clipped: Any, ends: Any, limits: Any, from_steps: Any,
    origin: Any, core: Any, factor: Any, planes: Any, sums: Any,
) -> None:  # fmt: skip
    """Sum up pixels into cells, and their luminances into the pixels of the working planes.

    Parameters
    ----------
    raw
        (h, w, C) channels of some whole rows of working pixels, from the left of a cell on.
    codes
        (h, w, 3) of the same pixels.
    alpha, clipped
        (h, w) uint8, or empty.
    ends
        (2, 3) codes at the bottom and top of the file, in the type of the codes.
    limits
        (6,) tolerance for the stock and the screen, L* below paper that counts as bare,
        1 where pairs of neighbours are to be compared, 1 where there are channels to clip,
        colourfulness up to which it counts as bare.
    from_steps
        (N, 2): first step and steps per entry in row 0, then luminances of evenly spaced steps.
    origin
        (2,) row and column of the first working pixel within `planes`.
    core
        (4,) first and last + 1 row and column within `planes` whose pixels are counted.
    factor
        Pixels a side that go into one working pixel.
    planes
        (3, H, W) float32: luminance sums of file and print, weight.
    sums
        (rows, columns, SUMS) float64 of the cells of the core.
    """
    height, width = raw.shape[0], raw.shape[1]
    first, spacing = from_steps[0, 0], from_steps[0, 1]
    last = from_steps.shape[0] - 3
    has_alpha, has_mask = alpha.size > 0, clipped.size > 0
    pairs, channels = limits[3] > 0.0, limits[4] > 0.0
    cell = 8 * factor
    y_cell = (origin[0] % 8) * factor
    for y in range(height):
        wy = origin[0] + y // factor
        for x in range(width):
            if has_alpha and alpha[y, x] < OPAQUE_FROM:
                continue
            wx = origin[1] + x // factor
            for k in range(2):
                place = (raw[y, x, FILE_STEPS - k] - first) / spacing
                i = min(max(int(place), 0), last)
                low = from_steps[1 + i, 0]
                planes[k, wy, wx] += low + (from_steps[2 + i, 0] - low) * (place - i)
            planes[2, wy, wx] += 1.0
            if wy < core[0] or wy >= core[1] or wx < core[2] or wx >= core[3]:
                continue
            s = sums[(wy - core[0]) // 8, (wx - core[2]) // 8]
            s[PIXELS] += 1.0
            miss = raw[y, x, MISS]
            if miss > limits[0]:
                s[OUT_OF_GAMUT] += 1.0
                s[MISS_SUM] += miss
                for c in range(3):
                    s[COLOUR_SUM + c] += raw[y, x, WANTED + c]
                    s[COLOUR_SUM + 3 + c] += raw[y, x, PRINTED + c]
            if raw[y, x, BEYOND] > limits[1]:
                s[BEYOND_SCREEN] += 1.0
            lost = False
            if has_mask:
                lost = clipped[y, x] != 0
            elif channels:
                low_count = high_count = 0
                for c in range(3):
                    if codes[y, x, c] >= ends[1, c]:
                        lost = True
                        high_count += 1
                        s[TOP + c] += 1.0
                    elif codes[y, x, c] <= ends[0, c]:
                        low_count += 1
                if high_count == 3:
                    s[WHITE] += 1.0
                if low_count == 3:
                    lost = True
                    s[BOTTOM] += 1.0
            if lost:
                s[CLIPPED] += 1.0
            elif raw[y, x, BELOW_PAPER] < limits[2]:
                tint = np.hypot(raw[y, x, PRINTED + 1], raw[y, x, PRINTED + 2])
                if tint < limits[5]:
                    s[BARE] += 1.0
            if pairs:
                for right in range(2):
                    y2, x2 = y + 1 - right, x + right
                    if (y_cell + y2) % cell == 0 or x2 % cell == 0 or y2 >= height or x2 >= width:
                        continue  # pairs inside one cell only, whatever the tiles
                    if has_alpha and alpha[y2, x2] < OPAQUE_FROM:
                        continue
                    apart = rise = 0
                    for c in range(3):
                        a, b = np.int64(codes[y, x, c]), np.int64(codes[y2, x2, c])
                        apart = max(apart, int(abs(a - b)))
                        rise += int(b - a)
                    down = 1 - right
                    if apart == 0:
                        s[SAME + down] += 1.0
                    elif apart == 1:
                        s[ONE_CODE + down] += 1.0
                        s[RISE + down] += np.sign(rise)
                        s[CODE_STEPS] += abs(raw[y, x, PRINT_STEPS] - raw[y2, x2, PRINT_STEPS])
                    else:
                        s[FURTHER] += 1.0


@compiled
def to_steps(planes: Any, needed: Any, of_luminance: Any) -> None:
    """Mean luminances to steps, in place; a working pixel that is mostly absent gets weight 0.

    `of_luminance` is (N, 2): first log luminance and logs per entry in row 0, then steps.
    """
    first, spacing = of_luminance[0, 0], of_luminance[0, 1]
    last = of_luminance.shape[0] - 3
    for y in range(planes.shape[1]):
        for x in range(planes.shape[2]):
            n = planes[2, y, x]
            if n < needed:
                planes[2, y, x] = 0.0
                continue
            planes[2, y, x] = 1.0
            for k in range(2):
                place = (np.log(max(planes[k, y, x] / n, 1e-9)) - first) / spacing
                i = min(max(int(place), 0), last)
                low = of_luminance[1 + i, 0]
                planes[k, y, x] = low + (of_luminance[2 + i, 0] - low) * (place - i)


@compiled
def classify(planes: Any, dark_below: Any, light_above: Any, classes: Any) -> Any:
    """(2, H, W) weights of the dark and the light part of the file; returns what there is."""
    found = 0
    for y in range(planes.shape[1]):
        for x in range(planes.shape[2]):
            dark = light = 0.0
            if planes[2, y, x] > 0.0:
                if planes[0, y, x] < dark_below:
                    dark = 1.0
                    found |= 1
                elif planes[0, y, x] > light_above:
                    light = 1.0
                    found |= 2
            classes[0, y, x] = dark
            classes[1, y, x] = light
    return found


@compiled
def grain(values: Any, weight: Any, halo: Any, tones: Any) -> None:
    """Means of a tone class and its grain (Immerkaer 1996: the mask that planes and straight edges
    do not answer to), summed into the cells.

    `values` are (2, H, W) file and print, `tones` (rows, columns, TONE_SUMS).
    """
    height, width = weight.shape
    for y in range(halo, height - halo):
        for x in range(halo, width - halo):
            if weight[y, x] == 0.0:
                continue
            t = tones[(y - halo) // 8, (x - halo) // 8]
            t[WEIGHT] += 1.0
            t[FILE_SUM] += values[0, y, x]
            t[PRINT_SUM] += values[1, y, x]
            whole = True
            for j in range(-1, 2):
                for i in range(-1, 2):
                    whole = whole and weight[y + j, x + i] > 0.0
            if not whole:
                continue
            t[GRAIN_WEIGHT] += 1.0
            for k in range(2):
                answer = 0.0
                for j in range(-1, 2):
                    for i in range(-1, 2):
                        mask = (2.0 if j == 0 else -1.0) * (2.0 if i == 0 else -1.0)
                        answer += mask * values[k, y + j, x + i]
                t[FILE_GRAIN + k] += abs(answer)


@compiled
def band(values: Any, weight: Any, halo: Any, shift: Any, at: Any, tones: Any,
         lower: Any, lower_weight: Any) -> None:  # fmt: skip
    """One level of the pyramid of a tone class: its band, and the level below.

    Only pixels of the class are averaged with one another, so that a lamp beside a coat does not
    count as detail of the coat.

    Parameters
    ----------
    values, weight
        (2, H, W) and (H, W) of this level.
    halo
        Rows and columns around the core.
    shift
        Two to this power are the pixels of a cell at this level.
    at
        Which band.
    tones
        (rows, columns, TONE_SUMS); mean squares are summed into it.
    lower, lower_weight
        (2, ceil(H/2), ceil(W/2)), to be written.
    """
    height, width = weight.shape
    for y in range(height):
        y_even = y % 2 == 0
        for x in range(width):
            even = y_even and x % 2 == 0
            own = weight[y, x]
            if own <= 0.0 and not even:
                continue
            total = file_total = print_total = 0.0
            for j in range(-2, 3):
                v = y + j
                if v < 0 or v >= height:
                    continue
                row = 6.0 if j == 0 else (4.0 if abs(j) == 1 else 1.0)
                for i in range(-2, 3):
                    u = x + i
                    if u < 0 or u >= width:
                        continue
                    w = weight[v, u]
                    if w > 0.0:
                        w *= row * (6.0 if i == 0 else (4.0 if abs(i) == 1 else 1.0)) / 256.0
                        total += w
                        file_total += w * values[0, v, u]
                        print_total += w * values[1, v, u]
            if total > 0.0:
                file_total /= total
                print_total /= total
            if even:
                lower[0, y // 2, x // 2] = file_total
                lower[1, y // 2, x // 2] = print_total
                lower_weight[y // 2, x // 2] = total
            inside = halo <= y < height - halo and halo <= x < width - halo
            if inside and own > 0.0 and total > 0.0:
                t = tones[(y - halo) >> shift, (x - halo) >> shift]
                t[BAND_WEIGHT + at] += own
                t[FILE_ENERGY + at] += own * (values[0, y, x] - file_total) ** 2
                t[PRINT_ENERGY + at] += own * (values[1, y, x] - print_total) ** 2
