"""Means and spreads of long chains, kept with what tells whether they still belong to the code.

A chain takes a minute, or as many as five; it depends on the likelihood and the forecasts alone,
not on how a calibration draws.  So its moments are kept in a file of the project, each with the log
likelihood and the forecasts at a few fixed places: where those differ, the chain is of other code
or of another house, and is run anew.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

FILE = Path(__file__).parent / "chains.jsonl"
PLACES = 12  # at which code is told from other code
_SAME = 1e-5  # of a value and of the largest in its list [-]
_DIGITS = 6


@dataclass(frozen=True)
class Reference:
    """One chain's moments.

    house, trials : whose readings; size : effective size of its slowest number [-]; r_hat : its
    largest [-]; values : mean and standard deviation by name of unknown or forecast [SI]; places :
    lists of numbers by what they are of, each at the same fixed places.
    """

    house: str
    trials: int
    size: float
    r_hat: float
    values: Mapping[str, tuple[float, float]]
    places: Mapping[str, tuple[float, ...]]

    def fits(self, places: Mapping[str, Sequence[float]]) -> bool:
        """Whether the chain was run of code that gives these numbers at the fixed places."""
        if places.keys() != self.places.keys():
            return False
        return all(_alike(self.places[name], now) for name, now in places.items())


def _alike(kept: Sequence[float], now: Sequence[float]) -> bool:
    first, second = np.array(kept), np.array(now)
    within = _SAME * max(float(np.abs(first).max()), 1e-12)
    return first.shape == second.shape and bool(np.all(np.abs(first - second) <= within))


def read_chains(path: Path = FILE) -> dict[tuple[str, int], Reference]:
    """All kept chains by house and number of trials; none where there is no file."""
    if not path.exists():
        return {}
    found = [Reference(**json.loads(line)) for line in path.read_text("utf-8").splitlines()]
    return {(one.house, one.trials): one for one in found}


def keep_chains(references: Iterable[Reference], path: Path = FILE) -> None:
    """Write chains down in place of those of the same houses and trials; the others stay."""
    every = {**read_chains(path), **{(one.house, one.trials): one for one in references}}

    def order(key: tuple[str, int]) -> tuple[int, str, int]:
        return len(key[0]), *key

    lines = [
        json.dumps(_short(asdict(every[key])), sort_keys=True) for key in sorted(every, key=order)
    ]
    path.write_text("\n".join(lines) + "\n", "utf-8")


def _short(value: object) -> object:
    """Numbers to as many digits as a chain knows, so that a file stays small."""
    if isinstance(value, float):
        return float(f"{value:.{_DIGITS}g}")
    if isinstance(value, Mapping):
        return {key: _short(one) for key, one in value.items()}
    if isinstance(value, (list, tuple)):
        return [_short(one) for one in value]
    return value
