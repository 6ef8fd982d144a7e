"""A search for options that goes on while the page is shown: its first answer, then the whole.

It runs in a thread of its own and touches no row; what it needs was read before it was started.
"""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from inchwater.app.core.remembered import Remembered
from inchwater.errors import InchwaterError

if TYPE_CHECKING:
    from inchwater.planning import Frontier, Progress

log = logging.getLogger("inchwater.app")

Tell = Callable[["Progress"], None]
Key = tuple[Any, ...]


@dataclass
class Search:
    """One search: ``progress`` is how far it is, ``found`` what it ended with."""

    progress: Progress | None = None
    found: Frontier | None = None
    problem: Exception | None = None
    _ended: threading.Event = field(default_factory=threading.Event)

    def run(self, work: Callable[[Tell], Frontier]) -> None:
        """Do the work; whatever it raises is kept for who asks."""
        try:
            self.found = work(self._told)
        except Exception as problem:
            # Raised again where a request waits for it, which tells or logs it as ever.
            self.problem = problem
            if not isinstance(problem, InchwaterError):
                log.exception("the search for options failed")
        finally:
            self._ended.set()

    def _told(self, progress: Progress) -> None:
        self.progress = progress

    def waited(self, seconds: float | None) -> Frontier | None:
        """The frontier, or None if it is not there after so long; raises what the work raised."""
        self._ended.wait(seconds)
        if self.problem is not None:
            raise self.problem
        return self.found


class Searches:
    """The searches of this process by what they stand on; each is started once."""

    def __init__(self) -> None:
        self._known = Remembered()

    def start(self, key: Key, work: Callable[[Tell], Frontier]) -> Search:
        """The search of this key, started if it was not yet."""
        new = Search()
        search: Search = self._known.keep(key, new)
        if search is new:
            name = f"options-{time.monotonic_ns()}"
            threading.Thread(target=new.run, args=(work,), name=name, daemon=True).start()
        return search

    def forget(self) -> None:
        """Drop all of them; those that are under way end unseen."""
        self._known.forget()
