"""A small cache that forgets what was longest unused."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

T = TypeVar("T")


class Recent(Generic[T]):
    """The most recently used values by key."""

    def __init__(self, size: int) -> None:
        self._size = size
        self._values: OrderedDict[Hashable, T] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: Hashable) -> T | None:
        """The value, or None."""
        with self._lock:
            value = self._values.get(key)
            if value is not None:
                self._values.move_to_end(key)
            return value

    def put(self, key: Hashable, value: T) -> None:
        """Keep a value, and forget the one longest unused when there are too many."""
        with self._lock:
            self._values[key] = value
            self._values.move_to_end(key)
            while len(self._values) > self._size:
                self._values.popitem(last=False)

    def make(self, key: Hashable, maker: Callable[[], T]) -> T:
        """The value, made where it is not known. Two threads may both make it; one is kept."""
        value = self.get(key)
        if value is None:
            value = maker()
            self.put(key, value)
        return value
