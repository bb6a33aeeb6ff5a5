"""Compiled loops: one typed door to numba."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

F = TypeVar("F", bound=Callable[..., Any])


def compiled(function: F) -> F:
    """Compile a loop to machine code that releases the interpreter lock, and cache it on disk.

    Parameters
    ----------
    function
        Takes and returns numbers and arrays only.

    Returns
    -------
    callable
        Compiled at its first call; ``function.py_func`` is the plain one.
    """
    from numba import njit

    return cast(F, njit(nogil=True, cache=True, error_model="numpy")(function))
