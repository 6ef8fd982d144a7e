"""What kind of house it is: capacity, place, motor, layout, and how it has been kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from inchwater import units
from inchwater.rehearsal.generate_work import picked

if TYPE_CHECKING:
    import numpy as np

    Rng = np.random.Generator

_SIZES = {"small": (1.5, 2.0, 2.5), "middle": (3.0, 3.5), "large": (4.0, 5.0)}
_UNITS = {
    "attic": {"air-handler": 0.6, "furnace": 0.4},
    "basement": {"air-handler": 0.3, "furnace": 0.7},
    "crawlspace": {"air-handler": 0.4, "furnace": 0.2, "packaged": 0.4},
}
_FLEX = {"attic": 0.92, "basement": 0.25, "crawlspace": 0.65}
_RETURNS = {
    "attic": {"single": 0.45, "multi": 0.55},
    "basement": {"single": 0.22, "multi": 0.23, "panned": 0.55},
    "crawlspace": {"single": 0.25, "multi": 0.30, "platform": 0.45},
}
_AT_GRILLE = {"single": 0.6, "multi": 0.55, "panned": 0.1, "platform": 0.6}
# Nominal output of furnaces [kBtu/h per ton] and kits of electric heat [kW].
_GAS = (13.0, 21.0)
_KITS = (3.0, 4.0, 5.0, 7.5, 8.0, 10.0, 12.0, 15.0)
_KITS_PER_TON = (2.0, 3.6)


@dataclass(frozen=True)
class Kind:
    """The choices that decide a house; SI where they are quantities.

    ``leak_*`` are shares of the design airflow at usual pressures [-]; ``dirt`` of the wheel and
    ``coil_dirt`` as in the world; ``compression`` of the crew that hung the flex, ``crew`` its
    factors on friction and fittings [-].
    """

    size: str
    tons: float
    space: str
    unit: str
    motor: str
    layout: str
    material: str
    returns: str
    filter: str
    includes: tuple[str, ...]
    altitude: float
    built: int
    heat_by: str
    heat: float
    heater: float
    nominal: float
    dirt: float
    coil_dirt: float
    leak_return: float
    leak_supply: float
    compression: float
    crew_friction: float
    crew_fittings: float
    care: float
    doors: bool
    bypass: str

    @property
    def capacity_w(self) -> float:
        """Nominal cooling. [W]"""
        return units.to_si(self.tons, "ton")

    @property
    def design(self) -> float:
        """400 cfm/ton. [m3/s]"""
        return units.to_si(400.0 * self.tons, "cfm")

    @property
    def speed(self) -> float:
        """How much faster air moves in these ducts than in others of their kind. [-]

        Systems without a cased coil are found at the same total static (docs/houses.md), so their
        ducts and filters take more of it.
        """
        return (1.16 if self.unit == "furnace" else 1.32) * float(2.718281828 ** (0.12 * self.care))

    @property
    def tags(self) -> dict[str, str]:
        """What a table of results is split by."""
        return {
            "motor": self.motor,
            "layout": self.layout,
            "capacity": self.size,
            "space": self.space,
            "returns": self.returns,
            "filter": self.filter,
            "coil": "out" if self.unit == "furnace" else "in",
            "ducts": self.material,
            "unit": self.unit,
        }

    @classmethod
    def draw(cls, rng: Rng, seed: int) -> Kind:
        """One house's kind; of three seeds in a row each has a motor, layout and size of its own.

        Of 27 in a row each has another combination, and draws that cannot be built leave the
        shares as they are.
        """
        motor, layout, size = _strata(seed)
        space = str(rng.choice(sorted(_UNITS)))
        unit = picked(rng, _UNITS[space])
        returns = picked(rng, _RETURNS[space])
        at_grille = rng.random() < _AT_GRILLE[returns]
        tons = float(rng.choice(_SIZES[size]))
        heat_by, heat, heater = _heat(rng, tons, unit)
        return cls(
            size=size,
            tons=tons,
            space=space,
            unit=unit,
            motor=motor,
            layout=layout,
            material="flex" if rng.random() < _FLEX[space] else "metal",
            returns=returns,
            filter="grille" if at_grille else "unit",
            includes=_includes(rng, unit, at_grille, heater),
            altitude=units.to_si(float(rng.uniform(1500, 6000)), "ft")
            if rng.random() < 0.2
            else units.to_si(float(rng.uniform(0, 700)), "ft"),
            built=int(rng.integers(1965, 2022)),
            heat_by=heat_by,
            heat=heat,
            heater=heater,
            nominal=120.0 if unit == "furnace" else 240.0,
            dirt=_mixed(rng, ((0.58, 0.0, 0.015), (0.34, 0.02, 0.07), (0.08, 0.07, 0.14))),
            coil_dirt=_mixed(rng, ((0.55, 1.0, 1.12), (0.37, 1.15, 2.0), (0.08, 2.0, 3.2))),
            leak_return=float(min(rng.gamma(2.2) / 2.2 * 0.072, 0.26)),
            leak_supply=float(min(rng.gamma(2.2) / 2.2 * 0.072, 0.26)),
            compression=float(min(rng.beta(2.4, 18.7), 0.32)),
            crew_friction=float(rng.gamma(22.0) / 22.0),
            crew_fittings=float(rng.gamma(40.0) / 40.0 * (1.6 if rng.random() < 0.25 else 1.03)),
            care=float(rng.normal(0.0, 1.0)),
            doors=bool(rng.random() < 0.4),
            bypass=picked(rng, {"": 0.94, "humidifier": 0.04, "damper": 0.02}),
        )


def _strata(seed: int) -> tuple[str, str, str]:
    """Motor, layout and size of a seed."""
    one, two, three = seed % 3, seed // 3 % 3, seed // 9 % 3
    return (
        ("psc", "constant-torque", "constant-airflow")[one],
        ("radial", "trunk", "branch")[(one + two) % 3],
        ("small", "middle", "large")[(one + two + three) % 3],
    )


def _mixed(rng: Rng, parts: tuple[tuple[float, float, float], ...]) -> float:
    at = int(rng.choice(len(parts), p=[share for share, _, _ in parts]))
    return float(rng.uniform(parts[at][1], parts[at][2]))


def _heat(rng: Rng, tons: float, unit: str) -> tuple[str, float, float]:
    """Kind of heat, its output [W], and the electric elements as a share of the usual drop [-]."""
    if unit == "furnace" or (unit == "packaged" and rng.random() < 0.5):
        return "gas", units.to_si(1000.0 * round(tons * float(rng.uniform(*_GAS))), "btuh"), 0.0
    wanted = tons * float(rng.uniform(*_KITS_PER_TON))
    kit = 1000.0 * min(_KITS, key=lambda one: abs(one - wanted))
    return ("electric" if rng.random() < 0.4 else "heat-pump"), kit, 1.0


def _includes(rng: Rng, unit: str, at_grille: bool, heater: float) -> tuple[str, ...]:
    """What the table's zero holds: always said here, and not the same everywhere."""
    held: list[str] = []
    if unit != "furnace":
        held.append("coil-wet" if rng.random() < 0.12 else "coil-dry")
        if heater > 0.0 and rng.random() < 0.5:
            held.append("heater")
    likely = 0.35 if unit == "packaged" else 0.12
    if not at_grille and rng.random() < likely:
        held.append("filter")
    return tuple(held)
