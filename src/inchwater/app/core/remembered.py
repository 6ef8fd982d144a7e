"""What the process remembers of what it computed, so that the same question costs nothing twice."""

from __future__ import annotations

import threading
from collections import OrderedDict
from typing import Any

_MOST = 32


class Remembered:
    """The latest results by key; safe between the threads that answer requests."""

    def __init__(self, most: int = _MOST) -> None:
        self._lock = threading.Lock()
        self._kept: OrderedDict[tuple[Any, ...], Any] = OrderedDict()
        self._most = most

    def get(self, key: tuple[Any, ...]) -> Any:
        """What is kept under a key; None if nothing is."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
            return self._kept.get(key)

    def keep(self, key: tuple[Any, ...], result: Any) -> Any:
        """Keep a result, unless one was kept meanwhile; the one that is kept."""
        with self._lock:
            kept = self._kept.setdefault(key, result)
            self._kept.move_to_end(key)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
            return kept

    def forget(self) -> None:
        """Drop everything."""
        with self._lock:
            self._kept.clear()
