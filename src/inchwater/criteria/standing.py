"""How a system stands against everything that is wanted of it, in every posterior sample."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from inchwater.criteria.judge import Verdict, verdict
from inchwater.criteria.target import Target
from inchwater.quantity import Estimate, Said, in_sentence
from inchwater.units import System

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]
# How many of the missed a sentence names.
_NAMED = 3


@dataclass(frozen=True, slots=True)
class Held:
    """One target held against the samples; ``unknown`` says why it cannot be, all else None then.

    ``odds`` are those that it is met. [-]
    """

    target: Target
    value: Estimate | None
    odds: float | None
    verdict: Verdict
    unknown: Said | None = None

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units."""
        return {
            **self.target.to_dict(system),
            "value": None if self.value is None else self.value.to_dict(system),
            "odds": self.odds,
            "verdict": self.verdict,
            "unknown": None if self.unknown is None else self.unknown.text(system),
        }


@dataclass(frozen=True)
class Standing:
    """Targets with the samples of what they are about.

    values : array (sample, target), NaN where it cannot be told [SI]; weights : array (sample,);
    ``why`` : for each target the reason that it cannot be told, or None; ``allowed`` : array
    (sample, target), by how much the upper bound may be passed, zero where it holds alone [SI].
    """

    targets: tuple[Target, ...]
    values: Array
    weights: Array
    why: tuple[Said | None, ...]
    allowed: Array | None = None

    @cached_property
    def beyond(self) -> Array:
        """The values less what is allowed, to hold against bounds (sample, target). [SI]"""
        return self.values if self.allowed is None else self.values - self.allowed

    @cached_property
    def off(self) -> Array:
        """How far beyond its bound each is, as a share of that bound (sample, target). [-]

        0 where it is met, NaN where it cannot be told.
        """
        low = np.array([-np.inf if one.low is None else one.low for one in self.targets])
        high = np.array([np.inf if one.high is None else one.high for one in self.targets])
        below, above = low - self.beyond, self.beyond - high
        off = np.where(below > 0.0, below / _size(low), 0.0)
        off = np.where(above > 0.0, above / _size(high), off)
        return np.where(np.isnan(self.values), np.nan, off)

    @cached_property
    def told(self) -> Bools:
        """Which targets can be told (target,)."""
        return np.array([one is None for one in self.why], dtype=np.bool_)

    @cached_property
    def counted(self) -> Bools:
        """Which targets are needed and can be told (target,)."""
        needed = np.array([one.needed for one in self.targets], dtype=np.bool_)
        return np.asarray(needed & self.told)

    @cached_property
    def met(self) -> Bools:
        """In which samples every needed target that can be told is met (sample,)."""
        return np.asarray(~(self.off[:, self.counted] > 0.0).any(axis=1))

    @property
    def unknown(self) -> tuple[Said, ...]:
        """Which targets cannot be told and which fact is lacking; the needed ones first."""
        return self.lacking + self._untold(needed=False)

    @property
    def lacking(self) -> tuple[Said, ...]:
        """Which needed targets cannot be told, and which fact is lacking."""
        return self._untold(needed=True)

    def _untold(self, needed: bool) -> tuple[Said, ...]:
        both = zip(self.targets, self.why, strict=True)
        return tuple(
            Said("{what}: " + why.template, {**why.values, "what": one.label})
            for one, why in both
            if why is not None and one.needed == needed
        )

    def odds(self, weights: Array | None = None) -> float:
        """The odds that every needed target that can be told is met. [-]

        Parameters
        ----------
        weights : array (sample,), optional
            Other weights than the forecast's own. [-]
        """
        given = self.weights if weights is None else np.asarray(weights, dtype=float)
        return float(np.sum(given[self.met]) / np.sum(given))

    @cached_property
    def held(self) -> tuple[Held, ...]:
        """Each target with its value, its odds and the word for them."""
        found = []
        for column, (target, why) in enumerate(zip(self.targets, self.why, strict=True)):
            if why is not None:
                found.append(Held(target, None, None, "cannot tell", why))
                continue
            value = Estimate.of(self.values[:, column], self.weights, target.unit_kind)
            met = self.off[:, column] == 0.0
            odds = float(np.sum(self.weights[met]) / np.sum(self.weights))
            found.append(Held(target, value, odds, verdict(odds)))
        return tuple(found)

    def of(self, key: str, subject: str = "") -> Held:
        """One target's standing.

        Raises
        ------
        KeyError
            If there is no such target.
        """
        for one in self.held:
            if (one.target.key, one.target.subject) == (key, subject):
                return one
        raise KeyError(f"{key}:{subject}")

    @property
    def missed(self) -> tuple[Held, ...]:
        """Needed targets that are not sure to be met, the likeliest to fail first."""
        sure = [one for one in self.held if one.target.needed and one.odds is not None]
        return tuple(
            sorted((one for one in sure if one.odds != 1.0), key=lambda one: one.odds or 0.0)
        )

    def said(self) -> Said:
        """In a sentence: the odds of everything that is wanted, and what is missed most."""
        lacking = len(self.lacking)
        template = "All that is wanted is met in {odds} of 100 cases"
        values: dict[str, tuple[float, str] | str] = {"odds": f"{100.0 * self.odds():.0f}"}
        worst = self.missed[:_NAMED]
        for number, one in enumerate(worst):
            template += ("; missed most: " if number == 0 else ", ") + f"{{worst{number}}}"
            odds = one.odds or 0.0
            label = in_sentence(one.target.label)
            values[f"worst{number}"] = f"{label} (in {100.0 * (1.0 - odds):.0f})"
        template += "."
        if lacking:
            template += " {lacking} more cannot be told: facts are lacking."
            values["lacking"] = str(lacking)
        return Said(template, values)

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """``{odds, targets, unknown}`` in the system's units."""
        return {
            "odds": self.odds(),
            "targets": [one.to_dict(system) for one in self.held],
            "unknown": [one.text(system) for one in self.unknown],
        }


def together(standings: Sequence[Standing]) -> Standing:
    """Several calls of one system as one standing, on the same samples.

    Raises
    ------
    ValueError
        If there is none, or the samples are not the same.
    """
    if not standings:
        raise ValueError("no standing was given")
    first = standings[0]
    for one in standings[1:]:
        if not np.array_equal(first.weights, one.weights):
            raise ValueError("the standings are not of the same samples")
    return Standing(
        tuple(target for one in standings for target in one.targets),
        np.concatenate([one.values for one in standings], axis=1),
        first.weights,
        tuple(why for one in standings for why in one.why),
        np.concatenate([one.values - one.beyond for one in standings], axis=1),
    )


def _size(bound: Array) -> Array:
    """What a miss is a share of; a bound of nothing has no share, so the miss itself stands."""
    size = np.abs(bound)
    return np.where((size > 0.0) & np.isfinite(size), size, 1.0)
