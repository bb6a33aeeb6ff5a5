"""The one typed door to numba: compile for stated types, keep the result on disk where possible."""

from __future__ import annotations

import importlib
import pickle
from collections.abc import Callable
from typing import Any, TypeVar

Function = TypeVar("Function", bound=Callable[..., Any])

numba: Any = importlib.import_module("numba")
"""numba carries no type information, hence ``Any``."""
types: Any = numba.types


def array_of(dtype: Any, ndim: int, *, readonly: bool) -> Any:
    """Type of an array with any strides, so that one compilation serves every view.

    Parameters
    ----------
    dtype
        A numba scalar type.
    ndim
        Number of axes.
    readonly
        Whether the kernel only reads it; then writable arrays are accepted as well.
    """
    return types.Array(dtype, ndim, "A", readonly=readonly)


def compiled(function: Function, signature: Any) -> Function:
    """Compile for one signature, releasing the GIL, cached on disk when a place can be found.

    The place is numba's: ``NUMBA_CACHE_DIR``, else beside the source, else the user's cache
    directory. Where none of them can be written, or the disk is full, the function is compiled
    in memory, which costs a second or so at each start and nothing else.
    """
    try:
        result: Function = numba.njit([signature], nogil=True, cache=True)(function)
    except (RuntimeError, OSError, EOFError, pickle.UnpicklingError):
        # RuntimeError: "no locator available"; OSError: the directory was found but the file
        # could not be written (full or quota); the others: a file cut short.
        result = numba.njit([signature], nogil=True, cache=False)(function)
    return result


def inlined(function: Function) -> Function:
    """A helper that is compiled into the kernels that call it."""
    result: Function = numba.njit(nogil=True)(function)
    return result


def intrinsic(function: Callable[..., Any]) -> Any:
    """A helper written as instructions of the compiler's own language.

    It is called without the first parameter it is defined with.
    """
    return numba.extending.intrinsic(function)


def overload(stand_in: Callable[..., Any]) -> Callable[[Function], Function]:
    """Choose a helper by the types it is called with."""
    result: Callable[[Function], Function] = numba.extending.overload(stand_in)
    return result
