"""Compiled loops over pixels. Imported only when pixels are to be made: it imports numba.

All kernels stand in this one file because numba's disk cache follows only the file of the
function it compiles. Pixels are worked in blocks of `BLOCK` inside a row, so that what lies
between the table and the written bytes stays in the first-level cache: no temporary grows with
the picture.

Tetrahedral interpolation: the cube between eight nodes is cut into six tetrahedra along its
neutral diagonal; a colour is mixed from the four corners of the tetrahedron it lies in, with the
differences of the sorted fractions as weights. The order of the fractions picks the steps from
corner to corner, without branches.
"""

from __future__ import annotations

import functools
import importlib
from typing import Any, Final

import numpy as np

from proofing.lattice._compiled import array_of, compiled, inlined, intrinsic, overload, types

BLOCK: Final = 512
"""Pixels worked at a time."""
LANES: Final = 4
"""Channels are padded to a multiple of this and mixed this many at a time."""
BGRX: Final = 1
RGB16: Final = 2
RAW: Final = 3
TABLE_TOP: Final = 65535

_one = np.uint64(1)
_two = np.uint64(2)
_three = np.uint64(3)


# --- four channels at a time ---------------------------------------------------------------------


def _mixing(width: int) -> Any:
    """``out[at:at+width] = sum(w_i * table[v_i:v_i+width])`` as vector instructions.

    Written out because numba leaves LLVM's straight-line vectorizer off.
    """
    ir: Any = importlib.import_module("llvmlite.ir")
    vector = ir.VectorType(ir.FloatType(), width)
    index = ir.IntType(32)
    all_zero = ir.Constant(ir.VectorType(index, width), [0] * width)

    def generate(context: Any, builder: Any, signature: Any, args: Any) -> Any:
        source = context.make_array(signature.args[0])(context, builder, args[0]).data
        target = context.make_array(signature.args[9])(context, builder, args[9]).data

        def weighted(corner: Any, weight: Any) -> Any:
            pointer = builder.bitcast(builder.gep(source, [corner]), vector.as_pointer())
            values = builder.load(pointer, align=4)
            undefined = ir.Constant(vector, ir.Undefined)
            lane = builder.insert_element(undefined, weight, ir.Constant(index, 0))
            weights = builder.shuffle_vector(lane, undefined, all_zero)
            return builder.fmul(values, weights, flags=("contract",))

        total = weighted(args[1], args[5])
        for corner, weight in zip(args[2:5], args[6:9], strict=True):
            total = builder.fadd(total, weighted(corner, weight), flags=("contract",))
        pointer = builder.bitcast(builder.gep(target, [args[10]]), vector.as_pointer())
        builder.store(total, pointer, align=4)
        return context.get_dummy_value()

    return generate


@intrinsic
def _mix_4(
    _context: Any,
    table: Any,
    v0: Any,
    v1: Any,
    v2: Any,
    v3: Any,
    w0: Any,
    w1: Any,
    w2: Any,
    w3: Any,
    out: Any,
    at: Any,
) -> Any:
    """Four channels from four corners."""
    return types.void(table, v0, v1, v2, v3, w0, w1, w2, w3, out, at), _mixing(4)


@intrinsic
def _mix_8(
    _context: Any,
    table: Any,
    v0: Any,
    v1: Any,
    v2: Any,
    v3: Any,
    w0: Any,
    w1: Any,
    w2: Any,
    w3: Any,
    out: Any,
    at: Any,
) -> Any:
    """Eight channels from four corners."""
    return types.void(table, v0, v1, v2, v3, w0, w1, w2, w3, out, at), _mixing(8)


@intrinsic
def _packed(_context: Any, buffer: Any, at: Any) -> Any:
    """The colour at a place of the buffer as one word, 255, R, G, B from the highest byte down.

    Held to 0..1 and rounded to the nearest code, a half upwards.
    """
    ir: Any = importlib.import_module("llvmlite.ir")
    vector = ir.VectorType(ir.FloatType(), 4)

    def generate(context: Any, builder: Any, signature: Any, args: Any) -> Any:
        def every(value: float) -> Any:
            return ir.Constant(vector, [value] * 4)

        source = context.make_array(signature.args[0])(context, builder, args[0]).data
        pointer = builder.bitcast(builder.gep(source, [args[1]]), vector.as_pointer())
        colour = builder.load(pointer, align=4)
        zero, one = every(0.0), every(1.0)
        colour = builder.select(builder.fcmp_ordered(">", colour, zero), colour, zero)
        colour = builder.select(builder.fcmp_ordered("<", colour, one), colour, one)
        colour = builder.fadd(builder.fmul(colour, every(255.0)), every(0.5))
        codes = builder.fptosi(colour, ir.VectorType(ir.IntType(32), 4))
        word = ir.Constant(ir.IntType(32), 0xFF000000)
        for lane, shift in ((0, 16), (1, 8), (2, 0)):
            code = builder.extract_element(codes, ir.Constant(ir.IntType(32), lane))
            word = builder.or_(word, builder.shl(code, ir.Constant(ir.IntType(32), shift)))
        return word

    return types.uint32(buffer, at), generate


def _coordinate(lut: Any, code: Any) -> Any:
    """Lattice coordinate of a code; which of the two below depends on the code's type."""
    raise NotImplementedError


def _coordinate_of_integer(lut: Any, code: Any) -> Any:
    return lut[code]


def _coordinate_of_float(lut: Any, code: Any) -> Any:
    position = code * np.float32(TABLE_TOP)
    # written so that not-a-number lands on the bottom
    position = position if position > np.float32(0.0) else np.float32(0.0)
    position = position if position < np.float32(TABLE_TOP) else np.float32(TABLE_TOP)
    low = np.uint32(position)
    low = low if low < np.uint32(TABLE_TOP - 1) else np.uint32(TABLE_TOP - 1)
    start = lut[low]
    return start + (position - np.float32(low)) * (lut[low + np.uint32(1)] - start)


@overload(_coordinate)
def _coordinate_for(lut: Any, code: Any) -> Any:
    return _coordinate_of_float if isinstance(code, types.Float) else _coordinate_of_integer


# --- one block of one row ------------------------------------------------------------------------


@inlined
def _locate(codes: Any, luts: Any, work: Any, y: Any, x_first: Any, count: Any) -> None:
    """Codes of a block to lattice coordinates, in the first three rows of `work`."""
    lut_0, lut_1, lut_2 = luts
    for i in range(np.uint64(count)):
        x = np.uint64(x_first) + i
        work[i] = _coordinate(lut_0, codes[y, x, 0])
        work[i + np.uint64(BLOCK)] = _coordinate(lut_1, codes[y, x, 1])
        work[i + np.uint64(2 * BLOCK)] = _coordinate(lut_2, codes[y, x, 2])


@inlined
def _weigh(work: Any, corners: Any, n: Any, width: Any, count: Any) -> None:
    """Coordinates to the corners of the tetrahedra and their weights.

    Rows 3..6 of `work` get the weights of the cell's first corner, the two between, and the
    corner opposite; rows 0..2 of `corners` the places in the table of the first three. The loop
    has no branch and no look-up, so that it becomes vector instructions.
    """
    last = np.int32(n - 2)
    step_2 = np.uint32(width)
    step_1 = np.uint32(np.uint32(n) * step_2)
    step_0 = np.uint32(np.uint32(n) * step_1)
    opposite = np.uint32(step_0 + step_1 + step_2)
    for i in range(np.uint64(count)):
        c_0 = work[i]
        c_1 = work[i + np.uint64(BLOCK)]
        c_2 = work[i + np.uint64(2 * BLOCK)]
        i_0 = min(np.int32(c_0), last)
        i_1 = min(np.int32(c_1), last)
        i_2 = min(np.int32(c_2), last)
        f_0 = c_0 - np.float32(i_0)
        f_1 = c_1 - np.float32(i_1)
        f_2 = c_2 - np.float32(i_2)
        more = f_0 if f_0 > f_1 else f_1
        less = f_0 if f_0 < f_1 else f_1
        high = more if more > f_2 else f_2
        low = less if less < f_2 else f_2
        rest = more if more < f_2 else f_2
        middle = less if less > rest else rest
        # a tie makes the weight of the corner it decides about zero
        more_step = step_0 if f_0 > f_1 else step_1
        less_step = step_1 if f_0 > f_1 else step_0
        high_step = more_step if more > f_2 else step_2
        low_step = less_step if less < f_2 else step_2
        first = np.uint32(
            np.uint32(i_0) * step_0 + np.uint32(i_1) * step_1 + np.uint32(i_2) * step_2
        )
        work[i + np.uint64(3 * BLOCK)] = np.float32(1.0) - high
        work[i + np.uint64(4 * BLOCK)] = high - middle
        work[i + np.uint64(5 * BLOCK)] = middle - low
        work[i + np.uint64(6 * BLOCK)] = low
        corners[i] = first
        corners[i + np.uint64(BLOCK)] = np.uint32(first + high_step)
        corners[i + np.uint64(2 * BLOCK)] = np.uint32(first + np.uint32(opposite - low_step))


@inlined
def _blend(
    table: Any, n: Any, lanes: Any, work: Any, corners: Any, buffer: Any, count: Any
) -> None:
    """Mix all channels of a block from the corners."""
    quads = len(lanes)
    width = np.uint64(LANES * quads)
    opposite = (np.uint64(n) * np.uint64(n) + np.uint64(n) + np.uint64(1)) * width
    for i in range(np.uint64(count)):
        v_0 = np.uint64(corners[i])
        v_1 = np.uint64(corners[i + np.uint64(BLOCK)])
        v_2 = np.uint64(corners[i + np.uint64(2 * BLOCK)])
        v_3 = v_0 + opposite
        w_0 = work[i + np.uint64(3 * BLOCK)]
        w_1 = work[i + np.uint64(4 * BLOCK)]
        w_2 = work[i + np.uint64(5 * BLOCK)]
        w_3 = work[i + np.uint64(6 * BLOCK)]
        at = i * width
        if quads % 2 == 0:
            for pair in range(quads // 2):
                c = np.uint64(2 * LANES * pair)
                _mix_8(
                    table, v_0 + c, v_1 + c, v_2 + c, v_3 + c, w_0, w_1, w_2, w_3, buffer, at + c
                )
        else:
            for quad in range(quads):
                c = np.uint64(LANES * quad)
                _mix_4(
                    table, v_0 + c, v_1 + c, v_2 + c, v_3 + c, w_0, w_1, w_2, w_3, buffer, at + c
                )


@inlined
def _lay_on_paper(
    buffer: Any, width: Any, alpha: Any, paper: Any, y: Any, x_first: Any, count: Any
) -> None:
    p_0, p_1, p_2 = paper[0], paper[1], paper[2]
    for i in range(np.uint64(count)):
        a = np.float32(alpha[y, np.uint64(x_first) + i]) * np.float32(1.0 / 255.0)
        rest = np.float32(1.0) - a
        at = i * width
        buffer[at] = buffer[at] * a + p_0 * rest
        buffer[at + _one] = buffer[at + _one] * a + p_1 * rest
        buffer[at + _two] = buffer[at + _two] * a + p_2 * rest


@inlined
def _quantized(value: Any, top: Any) -> Any:
    """Nearest integer code of a value held to 0..1; a half goes up."""
    value = value if value > np.float32(0.0) else np.float32(0.0)
    value = value if value < np.float32(1.0) else np.float32(1.0)
    return np.int32(value * top + np.float32(0.5))


@inlined
def _write_bgrx(buffer: Any, width: Any, out: Any, y: Any, x_first: Any, count: Any) -> None:
    for i in range(np.uint64(count)):
        out[y, np.uint64(x_first) + i] = _packed(buffer, i * width)


@inlined
def _write_rgb16(buffer: Any, width: Any, out: Any, y: Any, x_first: Any, count: Any) -> None:
    top = np.float32(65535.0)
    for i in range(np.uint64(count)):
        x = np.uint64(x_first) + i
        at = i * width
        out[y, x, 0] = np.uint16(_quantized(buffer[at], top))
        out[y, x, 1] = np.uint16(_quantized(buffer[at + _one], top))
        out[y, x, 2] = np.uint16(_quantized(buffer[at + _two], top))


# --- a strip of rows -----------------------------------------------------------------------------


def _strip(
    codes: Any,
    luts: Any,
    table: Any,
    n: Any,
    lanes: Any,
    alpha: Any,
    paper: Any,
    mode: Any,
    out_8: Any,
    out_16: Any,
    out_32: Any,
    buffer: Any,
    work: Any,
    corners: Any,
    rows: Any,
) -> None:
    """Rows ``rows[0]..rows[1]`` of a picture, in one pass. An absent array is passed empty."""
    width = np.uint64(LANES * len(lanes))
    channels = out_32.shape[2]
    has_alpha = alpha.shape[0] > 0
    columns = codes.shape[1]
    for y in range(rows[0], rows[1]):
        for x_first in range(0, columns, BLOCK):
            count = min(BLOCK, columns - x_first)
            _locate(codes, luts, work, y, x_first, count)
            _weigh(work, corners, n, width, count)
            _blend(table, n, lanes, work, corners, buffer, count)
            if has_alpha:
                _lay_on_paper(buffer, width, alpha, paper, y, x_first, count)
            if mode == BGRX:
                _write_bgrx(buffer, width, out_8, y, x_first, count)
            elif mode == RGB16:
                _write_rgb16(buffer, width, out_16, y, x_first, count)
            else:
                for i in range(count):
                    for c in range(channels):
                        out_32[y, x_first + i, c] = buffer[np.uint64(i) * width + np.uint64(c)]


@functools.cache
def strip_kernel(code_type: str, quads: int) -> Any:
    """The kernel for one type of codes and a number of groups of four channels.

    Parameters
    ----------
    code_type
        'uint8', 'uint16' or 'float32'.
    quads
        Channels divided by four, rounded up.
    """
    code = getattr(types, code_type)
    read, write = (
        functools.partial(array_of, readonly=True),
        functools.partial(array_of, readonly=False),
    )
    f4, i8 = types.float32, types.int64
    line = types.Array(f4, 1, "C", readonly=True)
    signature = types.void(
        read(code, 3),
        types.UniTuple(line, 3),
        line,
        i8,
        types.UniTuple(i8, quads),
        read(types.uint8, 2),
        line,
        i8,
        write(types.uint32, 2),
        write(types.uint16, 3),
        write(f4, 3),
        types.Array(f4, 1, "C"),
        types.Array(f4, 1, "C"),
        types.Array(types.uint32, 1, "C"),
        types.UniTuple(i8, 2),
    )
    return compiled(_strip, signature)
