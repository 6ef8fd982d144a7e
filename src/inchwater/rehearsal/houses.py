"""The three invented houses as they truly are, one cause each; nothing here stands anywhere.

A: six long slack runs choke the supply.  B: a loaded filter behind a panned return starves a
furnace.  C: the ducts are good and the airflow setting is too low, which no static can show.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from importlib import resources

from inchwater import units
from inchwater.rehearsal.truth import Blower, CoolingCoil, Face, House, Line, Media, Piece

TABLES = {
    "a": "three-ton-constant-torque",
    "b": "three-ton-psc",
    "c": "four-ton-constant-airflow",
}
# Run lengths [ft], diameters [in] and registers [in], which the surveys of the demo share.
RUNS = {
    "a": (16, 20, 24, 26, 30, 34),
    "b": (8, 10, 12, 14, 16, 18, 20, 22),
    "c": (12, 14, 16, 18, 20, 22, 24, 26),
}
DIAMETERS = {"a": 6, "b": 6, "c": 7}
REGISTERS = {"a": (10, 4), "b": (10, 6), "c": (10, 6)}


def table(house: str) -> list[dict[str, str]]:
    """The rows of a house's invented blower table, as printed."""
    path = resources.files(__package__).joinpath(f"data/{TABLES[house]}.csv")
    return list(csv.DictReader(path.read_text("utf-8").splitlines()))


def house_a() -> House:
    """A 3-ton attic heat pump whose supply is the cause."""
    multipliers = (6.4, 7.6, 6.6, 8.2, 7.2, 8.0)
    around_framing = (
        "plenum-exit",
        "elbow-rounded-short",
        "elbow-rounded-short",
        "elbow-rounded-short",
        "boot",
        "boot",
    )
    return House(
        returns=tuple(
            Line(
                f"g{number}",
                (
                    _face(20, 25, "grille-free-70"),
                    Media(_area(20, 25), loading=1.3),
                    _flex(16, length, 1.6, ("room-to-duct", "elbow-rounded-short")),
                ),
            )
            for number, length in ((1, 10), (2, 14))
        ),
        supplies=_runs("a", multipliers, around_framing, "roughness-flex"),
        blower=_blower("a", tap="3", level=0.97),
        coil=CoolingCoil(_cfm(1200), inside=True),
        areas={"return": _area(20, 20), "supply": _area(20, 20)},
        leak_return=_cfm(30),
        leak_supply=_cfm(25),
    )


def house_b() -> House:
    """A 3-ton cased coil on a basement furnace whose return and filter are the cause."""
    return House(
        returns=(
            Line(
                "g1",
                (
                    _face(24, 14),
                    # Two joist bays under sheet metal: the round duct that resists as much.
                    _metal(11.5, 18, 1.8, ("room-to-duct", "elbow-sharp")),
                ),
            ),
        ),
        supplies=(
            Line(
                "t1",
                (_metal(14, 24, 1.0, ("plenum-exit",)),),
                _runs(
                    "b",
                    (1.2,) * 8,
                    ("tee-to-branch", "elbow-rounded-long", "elbow-rounded-short", "boot"),
                    "roughness-metal",
                ),
            ),
        ),
        blower=_blower("b", tap="med-high", level=0.96),
        coil=CoolingCoil(_cfm(1200), inside=False),
        areas={
            "before-filter": _area(16, 20),
            "return": _area(16, 20),
            "before-coil": _area(18, 20),
            "supply": _area(18, 20),
        },
        media=Media(_area(16, 25), loading=2.6),
        leak_return=_cfm(60),
        leak_supply=_cfm(25),
    )


def house_c() -> House:
    """A 4-ton packaged unit with good ducts, set to 1200 where 1600 is wanted."""
    return House(
        returns=tuple(
            Line(
                f"g{number}",
                (
                    _face(30, 20, "grille-free-70"),
                    Media(_area(30, 20), loading=1.2),
                    _flex(14, length, 2.0, ("room-to-duct", "elbow-rounded-short")),
                ),
            )
            for number, length in ((1, 8), (2, 12))
        ),
        supplies=(
            Line(
                "t1",
                (_metal(18, 30, 1.0, ("plenum-exit", "elbow-rounded-long")),),
                _runs(
                    "c",
                    (2.4,) * 8,
                    ("tee-to-branch", "elbow-rounded-short", "boot"),
                    "roughness-flex",
                ),
            ),
        ),
        blower=_blower("c", tap="1200", level=0.98),
        coil=CoolingCoil(_cfm(1600), inside=True),
        areas={"return": _area(24, 20), "supply": _area(20, 20)},
        leak_return=_cfm(30),
        leak_supply=_cfm(40),
    )


def _blower(house: str, tap: str, level: float) -> Blower:
    rows = [row for row in table(house) if row["tap"] == tap]
    return Blower(
        tesp=tuple(units.to_si(float(row["tesp_inwc"]), "inwc") for row in rows),
        airflow=tuple(units.to_si(float(row["airflow_cfm"]), "cfm") for row in rows),
        power=tuple(float(row["power_w"]) for row in rows),
        level=level,
    )


def _runs(
    house: str, multipliers: Sequence[float], fittings: tuple[str, ...], roughness: str
) -> tuple[Line, ...]:
    return tuple(
        Line(
            f"r{number}",
            (
                Piece(_inches(DIAMETERS[house]), _feet(length), roughness, friction, fittings),
                _face(*REGISTERS[house]),
            ),
        )
        for number, (length, friction) in enumerate(zip(RUNS[house], multipliers, strict=True), 1)
    )


def _flex(diameter: float, length: float, friction: float, fittings: tuple[str, ...]) -> Piece:
    return Piece(_inches(diameter), _feet(length), "roughness-flex", friction, fittings)


def _metal(diameter: float, length: float, friction: float, fittings: tuple[str, ...]) -> Piece:
    return Piece(_inches(diameter), _feet(length), "roughness-metal", friction, fittings)


def _face(width: float, height: float, kind: str = "grille-free-60") -> Face:
    return Face(_area(width, height), kind)


def _area(width: float, height: float) -> float:
    return _inches(width) * _inches(height)


def _inches(value: float) -> float:
    return units.to_si(value, "in")


def _feet(value: float) -> float:
    return units.to_si(value, "ft")


def _cfm(value: float) -> float:
    return units.to_si(value, "cfm")
