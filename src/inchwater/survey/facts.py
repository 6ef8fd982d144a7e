"""A fact: one quantity of the survey, with the unit it was given in and how it is known."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from inchwater import units


class How(StrEnum):
    """How a fact is known; calibration widens its prior by it."""

    MEASURED = "measured"
    SEEN = "seen"
    STATED = "stated"
    TYPICAL = "typical"


@dataclass(frozen=True, slots=True)
class Fact:
    """A number, its unit, and how it is known; ``typical`` is a default of ours, never observed."""

    value: float
    unit: str
    how: How = How.SEEN

    @property
    def si(self) -> float:
        """The value in the base SI unit of its kind."""
        return units.to_si(self.value, self.unit)

    @classmethod
    def of(cls, si: float, kind: str, how: How = How.SEEN) -> Fact:
        """The fact of an SI value, in the unit in which it is the shortest number.

        Parameters
        ----------
        si : float
            Value in the base SI unit of the kind.
        kind : str
            Kind of quantity, a key of :data:`UNITS_BY_KIND`.
        how : How
            How it is known.
        """
        name, value = shortest(si, UNITS_BY_KIND[kind])
        return cls(value, name, how)


# The units in which a file or a person gives each kind, the most usual first and the base SI unit,
# in which every value can be written exactly, last.
UNITS_BY_KIND: dict[str, tuple[str, ...]] = {
    "pressure": ("inwc", "pa"),
    "airflow": ("cfm", "ls", "m3h", "m3s"),
    "length": ("in", "ft", "mm", "m"),
    "altitude": ("ft", "m"),
    "power": ("w",),
    "heat_power": ("kw", "w"),
    "heat_output": ("btuh", "kw", "w"),
    "temperature_rise": ("degf_rise", "k_rise"),
    "voltage": ("v",),
    "capacity": ("ton", "kw_cooling", "w_cooling"),
    "speed": ("rpm", "rads"),
    "angle": ("deg", "rad"),
    "airflow_per_capacity": ("cfm_ton", "ls_kw", "m3s_w"),
    "velocity": ("fpm", "ms"),
    "temperature": ("degf", "degc", "k"),
    "sound_level": ("db",),
    "noise_criterion": ("nc",),
    "power_per_airflow": ("w_cfm", "w_ls", "w_m3s"),
    "insulation": ("rvalue", "m2k_w"),
    "time": ("h", "s"),
    "energy": ("kwh", "j"),
    "price_of_energy": ("usd_kwh", "usd_j"),
    "share_of_gas": ("ppm", "m3_m3"),
    "ratio": ("pct", "1"),
}


def shortest(si: float, names: tuple[str, ...]) -> tuple[str, float]:
    """The first unit in which an SI value is a short number and comes back exactly, with it.

    Parameters
    ----------
    si : float
        Value in the base SI unit.
    names : tuple of str
        Units to try; the last is the base SI unit, which always serves.

    Returns
    -------
    tuple of str and float
        Unit and value, so that ``units.to_si(value, unit) == si`` to the last bit.
    """
    for name in names[:-1]:
        value = round(units.from_si(si, name), 6)
        if units.to_si(value, name) == si:
            return name, value
    return names[-1], si
