"""The side effects of changes as plain frozen data: each now, then, by how much, or why unknown."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from inchwater import units
from inchwater.errors import UnknownNameError
from inchwater.quantity import Estimate, Said
from inchwater.units import System

Group = Literal["noise", "cooling", "coil", "heating", "fan", "ducts"]
GROUPS: tuple[Group, ...] = ("noise", "cooling", "coil", "heating", "fan", "ducts")


@dataclass(frozen=True, slots=True)
class Odds:
    """How likely something is now and then [-]; ``of`` says what: ``the coil ices``."""

    of: Said
    now: float | None
    then: float | None

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data."""
        return {"of": self.of.text(system), "now": self.now, "then": self.then}


@dataclass(frozen=True, slots=True)
class Bounds:
    """What the effect is usually held to [SI], and who says so; either bound may be None."""

    low: float | None
    high: float | None
    kind: str
    source: str
    status: str

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units."""
        name = units.SHOWN[self.kind][system][0]
        return {
            "low": None if self.low is None else units.from_si(self.low, name),
            "high": None if self.high is None else units.from_si(self.high, name),
            "unit": name,
            "source": self.source,
            "status": self.status,
        }


@dataclass(frozen=True, slots=True)
class Effect:
    """One side effect: ``now`` and ``then`` with what holds 9 in 10, and their ``change``.

    The change is taken sample by sample, so that what both share is not in its range; with
    ``relative`` it is a ratio less one.  ``now`` and ``then`` are None of what is known as a
    difference only (noise), ``change`` is None where only one of them is known.  ``unknown`` says
    why nothing is known; all others are None then.  ``at`` is the part that it is about:
    ``run:r1``, ``return:g1``, ``unit``.
    """

    key: str
    group: Group
    label: str
    at: str = "unit"
    now: Estimate | None = None
    then: Estimate | None = None
    change: Estimate | None = None
    relative: bool = False
    odds: Odds | None = None
    bounds: Bounds | None = None
    unknown: Said | None = None
    notes: tuple[Said, ...] = ()
    source: str = ""

    @property
    def known(self) -> bool:
        """Whether there is a number."""
        return self.unknown is None

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """Plain data in the system's units."""

        def numbers(estimate: Estimate | None) -> dict[str, Any] | None:
            return None if estimate is None else estimate.to_dict(system)

        return {
            "key": self.key,
            "group": self.group,
            "label": self.label,
            "at": self.at,
            "now": numbers(self.now),
            "then": numbers(self.then),
            "change": numbers(self.change),
            "relative": self.relative,
            "odds": None if self.odds is None else self.odds.to_dict(system),
            "bounds": None if self.bounds is None else self.bounds.to_dict(system),
            "unknown": None if self.unknown is None else self.unknown.text(system),
            "notes": [note.text(system) for note in self.notes],
            "source": self.source,
        }


@dataclass(frozen=True, slots=True)
class Effects:
    """All side effects in the order of their groups, and what was assumed for them."""

    all: tuple[Effect, ...]
    assumed: tuple[Said, ...] = ()

    def __iter__(self) -> Iterator[Effect]:
        return iter(self.all)

    def __len__(self) -> int:
        return len(self.all)

    def __contains__(self, key: object) -> bool:
        return any(effect.key == key for effect in self.all)

    def __getitem__(self, key: str) -> Effect:
        """The effect of this key.

        Raises
        ------
        UnknownNameError
            If there is none; the text lists those that are.
        """
        for effect in self.all:
            if effect.key == key:
                return effect
        keys = ", ".join(effect.key for effect in self.all)
        raise UnknownNameError(where="effect", came=repr(key), right=f"effects are {keys}")

    def group(self, name: Group) -> tuple[Effect, ...]:
        """The effects of one group: noise, cooling, coil, heating, fan, ducts."""
        return tuple(effect for effect in self.all if effect.group == name)

    @property
    def known(self) -> tuple[Effect, ...]:
        """Those with numbers."""
        return tuple(effect for effect in self.all if effect.known)

    @property
    def unknown(self) -> tuple[Effect, ...]:
        """Those that lack a fact, each with the reason in words."""
        return tuple(effect for effect in self.all if not effect.known)

    def to_dict(self, system: System = "ip") -> dict[str, Any]:
        """``{effects: [...], assumed: [...]}`` in the system's units."""
        return {
            "effects": [effect.to_dict(system) for effect in self.all],
            "assumed": [one.text(system) for one in self.assumed],
        }
