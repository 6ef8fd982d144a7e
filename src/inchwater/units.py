"""The only place where units convert: SI inside, inch-pound or SI at the edges.

A unit has one spelling, a kind of quantity, a factor to the base SI unit of that kind and, for
temperatures, an offset.  Conversion goes by kind, so pascals can never become metres.
Sources: NIST SP 811 (2008), appendix B (in. w.c. at 4 degC, foot, inch; read in secondary form),
definitions otherwise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from inchwater.errors import InputError, UnknownNameError

System = Literal["ip", "si"]


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: its spelling in files, the kind of quantity, and how it becomes SI."""

    name: str
    kind: str
    factor: float
    offset: float = 0.0
    label: str = ""


_UNITS = [
    Unit("pa", "pressure", 1.0, label="Pa"),
    Unit("inwc", "pressure", 249.08891, label="in. w.c."),
    Unit("m3s", "airflow", 1.0, label="m³/s"),
    Unit("ls", "airflow", 0.001, label="L/s"),
    Unit("m3h", "airflow", 1.0 / 3600.0, label="m³/h"),
    Unit("cfm", "airflow", 0.3048**3 / 60.0, label="cfm"),
    Unit("m", "length", 1.0, label="m"),
    Unit("mm", "length", 0.001, label="mm"),
    Unit("in", "length", 0.0254, label="in"),
    Unit("ft", "length", 0.3048, label="ft"),
    Unit("m2", "area", 1.0, label="m²"),
    Unit("in2", "area", 0.0254**2, label="in²"),
    Unit("ft2", "area", 0.3048**2, label="ft²"),
    Unit("ms", "velocity", 1.0, label="m/s"),
    Unit("fpm", "velocity", 0.3048 / 60.0, label="fpm"),
    Unit("w", "power", 1.0, label="W"),
    Unit("kw", "power", 1000.0, label="kW"),
    Unit("btuh", "power", 1000.0 / 3412.142, label="Btu/h"),
    Unit("ton", "capacity", 12000.0 * 1000.0 / 3412.142, label="ton"),
    Unit("kw_cooling", "capacity", 1000.0, label="kW"),
    Unit("w_cooling", "capacity", 1.0, label="W"),
    Unit("v", "voltage", 1.0, label="V"),
    Unit("rpm", "speed", math.pi / 30.0, label="rpm"),
    Unit("rads", "speed", 1.0, label="rad/s"),
    Unit("degc", "temperature", 1.0, 273.15, label="°C"),
    Unit("degf", "temperature", 5.0 / 9.0, 459.67 * 5.0 / 9.0, label="°F"),
    Unit("k", "temperature", 1.0, label="K"),
    # A difference of two temperatures: its own kind, because it has no offset.
    Unit("k_rise", "temperature_rise", 1.0, label="K"),
    Unit("degf_rise", "temperature_rise", 5.0 / 9.0, label="°F"),
    Unit("rad", "angle", 1.0, label="rad"),
    Unit("deg", "angle", math.pi / 180.0, label="°"),
    Unit("kgm3", "density", 1.0, label="kg/m³"),
    Unit("lbft3", "density", 0.45359237 / 0.3048**3, label="lb/ft³"),
    Unit(
        "cfm_ton", "airflow_per_capacity", 0.3048**3 / 60.0 / (12000.0 / 3.412142), label="cfm/ton"
    ),
    Unit("ls_kw", "airflow_per_capacity", 1.0e-6, label="L/s per kW"),
    Unit("m3s_w", "airflow_per_capacity", 1.0, label="m³/s per W"),
    Unit("w_cfm", "power_per_airflow", 60.0 / 0.3048**3, label="W/cfm"),
    Unit("w_ls", "power_per_airflow", 1000.0, label="W per L/s"),
    Unit("w_m3s", "power_per_airflow", 1.0, label="W per m³/s"),
    Unit("db", "sound_level", 1.0, label="dB"),
    Unit("nc", "noise_criterion", 1.0, label="NC"),
    Unit("j", "energy", 1.0, label="J"),
    Unit("kwh", "energy", 3.6e6, label="kWh"),
    Unit("s", "time", 1.0, label="s"),
    Unit("h", "time", 3600.0, label="h"),
    Unit("kgs", "water_flow", 1.0, label="kg/s"),
    Unit("kgh", "water_flow", 1.0 / 3600.0, label="kg/h"),
    Unit("lbh", "water_flow", 0.45359237 / 3600.0, label="lb/h"),
    # Thermal resistance of an area: m2 K/W, and the R-value that is printed on insulation.
    Unit("m2k_w", "insulation", 1.0, label="m²·K/W"),
    Unit("rvalue", "insulation", 0.3048**2 * 5.0 / 9.0 * 3.412142, label="h·ft²·°F/Btu"),
    Unit("w_m2k", "surface_film", 1.0, label="W/(m²·K)"),
    # Money has no SI unit: US dollars, as everywhere in the program.
    Unit("usd", "money", 1.0, label="USD"),
    Unit("usd_j", "price_of_energy", 1.0, label="USD/J"),
    Unit("usd_kwh", "price_of_energy", 1.0 / 3.6e6, label="USD/kWh"),
    # Share of a gas by volume: carbon monoxide in air or in flue gas.
    Unit("ppm", "share_of_gas", 1.0e-6, label="ppm"),
    Unit("m3_m3", "share_of_gas", 1.0, label="m³/m³"),
    Unit("1", "ratio", 1.0, label=""),
    Unit("pct", "ratio", 0.01, label="%"),
]
UNITS: dict[str, Unit] = {unit.name: unit for unit in _UNITS}

# What each kind is shown in, and with how many decimals: the trade's habit.
SHOWN: dict[str, dict[System, tuple[str, int]]] = {
    "pressure": {"ip": ("inwc", 2), "si": ("pa", 0)},
    "airflow": {"ip": ("cfm", 0), "si": ("ls", 0)},
    "length": {"ip": ("in", 1), "si": ("mm", 0)},
    "run_length": {"ip": ("ft", 0), "si": ("m", 1)},
    "altitude": {"ip": ("ft", 0), "si": ("m", 0)},
    "area": {"ip": ("in2", 0), "si": ("m2", 3)},
    "velocity": {"ip": ("fpm", 0), "si": ("ms", 1)},
    "power": {"ip": ("w", 0), "si": ("w", 0)},
    "heat_power": {"ip": ("kw", 1), "si": ("kw", 1)},
    "heat_output": {"ip": ("btuh", 0), "si": ("kw", 1)},
    "capacity": {"ip": ("ton", 1), "si": ("kw_cooling", 1)},
    "voltage": {"ip": ("v", 0), "si": ("v", 0)},
    "speed": {"ip": ("rpm", 0), "si": ("rpm", 0)},
    "temperature": {"ip": ("degf", 0), "si": ("degc", 0)},
    "temperature_rise": {"ip": ("degf_rise", 0), "si": ("k_rise", 1)},
    "angle": {"ip": ("deg", 0), "si": ("deg", 0)},
    "airflow_per_capacity": {"ip": ("cfm_ton", 0), "si": ("ls_kw", 0)},
    "power_per_airflow": {"ip": ("w_cfm", 2), "si": ("w_ls", 2)},
    "sound_level": {"ip": ("db", 0), "si": ("db", 0)},
    "noise_criterion": {"ip": ("nc", 0), "si": ("nc", 0)},
    "energy": {"ip": ("kwh", 0), "si": ("kwh", 0)},
    "time": {"ip": ("h", 0), "si": ("h", 0)},
    "seconds": {"ip": ("s", 0), "si": ("s", 0)},
    "share_of_gas": {"ip": ("ppm", 0), "si": ("ppm", 0)},
    "water_flow": {"ip": ("lbh", 1), "si": ("kgh", 1)},
    "insulation": {"ip": ("rvalue", 1), "si": ("m2k_w", 2)},
    "money": {"ip": ("usd", 0), "si": ("usd", 0)},
    "price_of_energy": {"ip": ("usd_kwh", 2), "si": ("usd_kwh", 2)},
    "ratio": {"ip": ("pct", 0), "si": ("pct", 0)},
}
# Kinds that differ only in how they are shown.
_SHOWN_AS = {
    "run_length": "length",
    "altitude": "length",
    "heat_power": "power",
    "heat_output": "power",
    "seconds": "time",
}


def kind_of(shown: str) -> str:
    """The kind of quantity, of a key of :data:`SHOWN`: several lengths are shown each its way."""
    return _SHOWN_AS.get(shown, shown)


def unit(name: str) -> Unit:
    """The unit of this spelling; UnknownNameError with the choices if there is none."""
    try:
        return UNITS[name]
    except KeyError:
        raise UnknownNameError(
            where="unit", came=repr(name), right=f"units are {', '.join(UNITS)}"
        ) from None


def to_si(value: float, name: str, kind: str | None = None) -> float:
    """SI value of ``value`` in the unit ``name``.

    Parameters
    ----------
    value : float or array
        Number in the named unit.
    name : str
        Spelling of the unit, as in files: ``inwc``, ``cfm``.
    kind : str, optional
        Kind of quantity that is wanted; another kind is an InputError.
    """
    found = unit(name)
    wanted = kind_of(kind) if kind else found.kind
    if found.kind != wanted:
        choices = ", ".join(u.name for u in UNITS.values() if u.kind == wanted)
        raise InputError(where="unit", came=repr(name), right=f"{kind} is given in {choices}")
    return value * found.factor + found.offset


def from_si(value: float, name: str) -> float:
    """Value in the unit ``name`` of an SI value; the inverse of :func:`to_si`."""
    found = unit(name)
    return (value - found.offset) / found.factor


def shown(value: float, kind: str, system: System) -> tuple[float, str, str]:
    """An SI value as a person reads it: (number, its text, the unit's label)."""
    name, decimals = SHOWN[kind][system]
    number = from_si(value, name)
    text = f"{number:,.{decimals}f}"
    if float(text.replace(",", "")) == 0.0:
        text = text.replace("-", "")
    return number, text.replace("-", "−"), UNITS[name].label
