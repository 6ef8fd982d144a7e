"""What was measured of each house, kept in a file as it comes, so that hours are not lost.

A file belongs to one function of one state of the code: its first entry is a digest of both, and a
file of another digest is refused, so that no table is made of two programs.
"""

from __future__ import annotations

import hashlib
import os
import pickle
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from inchwater.rehearsal import VirtualHouse

T = TypeVar("T")
_ROOT = Path(__file__).parent.parent


class Kept:
    """Results of one function by the id of the house, in one file that grows.

    Raises
    ------
    SystemExit
        If the file was begun by other code.
    """

    def __init__(self, folder: Path, function: Callable[[VirtualHouse], object]) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        whole = getattr(function, "func", function)  # of a partial
        name = getattr(whole, "__name__", type(whole).__name__).strip("_").lower()
        self._path = folder / f"{name}.pickle"
        self._digest = _digest(function)
        self.found: dict[str, Any] = {}
        if not self._path.exists():
            self._add(self._digest)
            return
        with self._path.open("rb") as file:
            if pickle.load(file) != self._digest:
                raise SystemExit(
                    f"{self._path}: begun by other code than this; name another folder, or run "
                    "what it was begun with."
                )
            self.found, good = _entries(file)
        # An entry that was cut off with its process is not one, and nothing may stand behind it.
        os.truncate(self._path, good)

    def those(self, houses: Iterable[VirtualHouse]) -> tuple[list[VirtualHouse], list[str]]:
        """The houses that are not measured yet, and the ids of all in their order."""
        every = list(houses)
        return [one for one in every if one.id not in self.found], [one.id for one in every]

    def keep(self, houses: Iterable[VirtualHouse], results: Iterable[T]) -> Iterator[T]:
        """The results as they come, each written down before it is given on."""
        for house, result in zip(houses, results, strict=True):
            self.found[house.id] = result
            self._add((house.id, result))
            yield result

    def _add(self, entry: object) -> None:
        with self._path.open("ab") as file:
            pickle.dump(entry, file)


def _entries(file: Any) -> tuple[dict[str, Any], int]:
    """What was kept, and where the last whole entry ends."""
    found: dict[str, Any] = {}
    while True:
        good = file.tell()
        try:
            id_, result = pickle.load(file)
        except (EOFError, pickle.UnpicklingError):
            return found, good
        found[id_] = result


def _digest(function: Callable[[VirtualHouse], object]) -> str:
    """Of the function with what it holds, and of all code and data that it may run."""
    digest = hashlib.sha256(repr(_plain(function)).encode())
    sources = [*(_ROOT / "src").rglob("*.py"), *(_ROOT / "src").rglob("*.csv")]
    for path in sorted([*sources, *(_ROOT / "benchmarks").glob("*.py")]):
        digest.update(path.relative_to(_ROOT).as_posix().encode() + path.read_bytes())
    return digest.hexdigest()


def _plain(value: object) -> object:
    """What a function holds in an order of its own: that of a set is another one in every run."""
    if isinstance(value, (set, frozenset)):
        return "set", sorted(map(repr, map(_plain, value)))
    if isinstance(value, Mapping):
        return "mapping", sorted(repr((_plain(key), _plain(one))) for key, one in value.items())
    if isinstance(value, (list, tuple)):
        return "list", [_plain(one) for one in value]
    if value is None or isinstance(value, (str, bytes, int, float)):
        return value
    if isinstance(value, partial):
        return "partial", _plain(value.func), _plain(value.args), _plain(value.keywords)
    if hasattr(value, "__qualname__"):  # a function or a class
        return f"{value.__module__}.{value.__qualname__}"
    kind = type(value)
    if is_dataclass(value):
        held: object = {one.name: getattr(value, one.name) for one in fields(value)}
    else:
        held = vars(value) if hasattr(value, "__dict__") else pickle.dumps(value)
    return f"{kind.__module__}.{kind.__qualname__}", _plain(held)
