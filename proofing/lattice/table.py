"""The baked colour function: values at the nodes of a lattice over the photograph's codes."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Final

import numpy as np

from proofing.errors import Cancelled, SettingError
from proofing.language import tr
from proofing.lattice.shaper import Float32, Shaper

COLOURS: Final = ("R", "G", "B")
"""Names of the first three channels: the encoded screen colour."""
MAX_CHANNELS: Final = 16
_LANES: Final = 4


@dataclass(frozen=True, eq=False)
class Lattice:
    """A colour function at its nodes. Equality is by `key`.

    Parameters
    ----------
    values
        (n, n, n, C) float32, finite, the photograph's first channel along the first axis.
        C is 3 + the number of names; at most 16.
    names
        Names of the scalar channels.
    shaper
        Where the nodes sit.
    key
        Names everything the values depend on.
    """

    values: Float32
    names: tuple[str, ...]
    shaper: Shaper
    key: str

    def __post_init__(self) -> None:
        n, channels = self.shaper.n, 3 + len(self.names)
        given = np.asarray(self.values)
        if given.shape != (n, n, n, channels) or channels > MAX_CHANNELS:
            raise SettingError(
                "values",
                given.shape,
                tr("give ({n}, {n}, {n}, 3 + {names}), at most 16", n=n, names=len(self.names)),
            )
        if len(set(self.channels)) != channels:
            raise SettingError("names", self.names, tr("every channel needs a name of its own"))
        lanes = -(-channels // _LANES) * _LANES
        padded = np.zeros((n, n, n, lanes), dtype=np.float32)
        padded[..., :channels] = given
        if not np.all(np.isfinite(padded)):
            node = np.argwhere(~np.isfinite(padded))[0]
            raise SettingError(
                "values",
                tr(
                    "{channels} at node {node}",
                    channels=self.channels[node[3]],
                    node=tuple(int(i) for i in node[:3]),
                ),
                tr("the colour function must be finite everywhere"),
            )
        padded.flags.writeable = False
        object.__setattr__(self, "_padded", padded)
        object.__setattr__(self, "values", padded[..., :channels])

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Lattice) and self.key == other.key

    def __hash__(self) -> int:
        return hash(self.key)

    @property
    def channels(self) -> tuple[str, ...]:
        """All channel names, the three colours first."""
        return COLOURS + tuple(self.names)

    @property
    def padded(self) -> Float32:
        """Values with the channels filled up with zeros to a multiple of four, contiguous."""
        padded: Float32 = self.__dict__["_padded"]
        return padded


def in_parts(
    work: Callable[[int], None],
    parts: Sequence[int],
    *,
    workers: int,
    cancel: Callable[[], bool] | None,
) -> None:
    """Do the parts of a job, in order, on a few threads; leave no thread behind.

    Raises
    ------
    Cancelled
        `cancel` returned True before some part.
    """
    pending = iter(parts)
    lock = threading.Lock()
    stop = threading.Event()
    called_off = threading.Event()

    def worker() -> None:
        while not stop.is_set():
            with lock:
                part = next(pending, None)
            if part is None:
                return
            try:
                if cancel is not None and cancel():
                    called_off.set()
                    stop.set()
                    return
                work(part)
            except BaseException:
                stop.set()
                raise

    threads = min(workers, len(parts))
    if threads <= 1:
        worker()
    else:
        with ThreadPoolExecutor(threads, thread_name_prefix="lattice") as pool:
            for future in [pool.submit(worker) for _ in range(threads)]:
                future.result()
    if called_off.is_set():
        raise Cancelled(tr("the work was called off because a newer request replaced it"))
