"""How many processes the memory of this computer has room for."""

from __future__ import annotations

import os
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

BASE_BYTES = 900_000_000
"""Of a process with its libraries and the tables of several spaces: 475 MB after one small
photograph, 950 MB after twenty compared (measured)."""
BYTES_A_PIXEL = 30
"""At the height of the work on a 16-bit photograph (measured: 26)."""
_LEFT = 0.8  # of what is available; the rest is for what else goes on
_UNKNOWN = 2  # processes, where a system does not tell its memory


def processes_for(pixels: Sequence[int], most: int | None = None) -> int:
    """How many processes to work in: one for each core, no more than memory and files allow.

    Parameters
    ----------
    pixels
        Of the photographs; the largest may come together.
    most
        At most so many; the cores of this computer where it is None.
    """
    most = max(1, min(cores() if most is None else most, len(pixels)))
    available = available_bytes()
    if available is None:
        return min(most, _UNKNOWN)
    largest = sorted(pixels, reverse=True)[:most]
    budget = _LEFT * available
    while most > 1 and sum(map(bytes_for, largest[:most])) > budget:
        most -= 1
    return most


def bytes_for(pixels: int) -> int:
    """What a process takes for a photograph of so many pixels."""
    return BASE_BYTES + BYTES_A_PIXEL * pixels


def cores() -> int:
    """Cores that this program may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def available_bytes() -> int | None:
    """Memory that can be had without paging; None where the system does not tell."""
    with suppress(OSError, ValueError, IndexError):
        for line in Path("/proc/meminfo").read_text(encoding="ascii").splitlines():
            if line.startswith("MemAvailable:"):
                return 1024 * int(line.split()[1])
    with suppress(OSError, ValueError, AttributeError):  # macOS and others: half of what is there
        return os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") // 2
    return None
