"""Fan laws in three trade and engineering texts (read): density at fixed speed, and speed.

10 000 cfm, 0.15 in. w.c., 1.85 hp at 0.075 lb/ft3 are 10 000 cfm, 0.12, 1.48 hp at 0.060.
"""

from __future__ import annotations

import pytest

from inchwater.air import STANDARD, Air
from inchwater.parts import blowers, ducts, fan_laws
from inchwater.parts.blower_tables import Cell
from inchwater.parts.laws import PowerLaw
from inchwater.units import from_si, to_si

THIN = Air(to_si(0.060, "lbft3"), STANDARD.viscosity)


def test_thin_air_keeps_the_volume(check):
    """A table entered with the thin air's pressure over its ratio gives the same airflow."""
    table = [Cell("a", to_si(p, "inwc"), to_si(q, "cfm")) for p, q in ((0.1, 10_400), (0.2, 9_600))]
    entry = blowers.density_ratio_entry(to_si(0.12, "inwc"), THIN.density_ratio)
    check(
        formula="blower density",
        source="fan-laws-trade",
        place="volume is kept at one speed",
        case="0.12 in. w.c. at 0.060 lb/ft³ on a fan of 10,000 cfm at 0.15 and 0.075",
        says=10_000,
        got=from_si(float(blowers.tap_curve(table, "a").airflow(entry)), "cfm"),
        unit="cfm",
        rel=2e-3,
        status="read",
    )


def test_a_square_law_system_scales_alike(check):
    """At one airflow a turbulent part's pressure falls with the density, 0.15 to 0.12."""
    law = PowerLaw.through(0.15, 10_000.0, 2.0)
    check(
        formula="thin air parts",
        source="fan-laws-trade",
        place="pressure goes with the density",
        case="0.15 in. w.c. at 0.075 lb/ft³, taken to 0.060",
        says=0.12,
        got=law.in_air(THIN).drop(10_000.0),
        unit="in. w.c.",
        rel=1e-3,
        status="read",
    )
    local, _ = ducts.local_drop(1.0, 0.1, 2.0, THIN)
    assert local / ducts.local_drop(1.0, 0.1, 2.0, STANDARD)[0] == pytest.approx(0.8, rel=1e-3)


@pytest.mark.parametrize(
    ("ratio", "airflow", "pressure", "power"), [(1.1, 1100, 0.605, 532.4), (0.9, 900, 0.405, 291.6)]
)
def test_another_speed(check, ratio, airflow, pressure, power):
    """1000 cfm, 0.50 in. w.c., 400 W at ×1.1 and ×0.9 of the speed; cells move along all three."""
    cells = [Cell("a", to_si(p, "inwc"), to_si(q, "cfm"), w) for p, q, w in CELLS]
    curve = fan_laws.at_speed(blowers.tap_curve(cells, "a"), ratio)
    at = to_si(pressure, "inwc")
    for what, says, got, unit in (
        ("airflow at the pressure of the laws", airflow, curve.airflow(at), "cfm"),
        ("watts there", power, curve.power(at), "W"),
    ):
        check(
            formula="speed laws",
            source="fan-laws-trade",
            place="Q ~ N, p ~ N², P ~ N³",
            case=f"1,000 cfm, 0.50 in. w.c., 400 W at ×{ratio:g} of the speed: {what}",
            says=says,
            got=from_si(float(got), "cfm") if unit == "cfm" else float(got),
            unit=unit,
            rel=1e-6,
            status="read",
        )
    law = PowerLaw.through(0.50, 1000.0, 2.0)
    check(
        formula="square law",
        source="fan-laws-trade",
        place="Q ~ N, p ~ N²: one system curve",
        case=f"0.50 in. w.c. at 1,000 cfm, at {airflow} cfm",
        says=pressure,
        got=law.drop(float(airflow)),
        unit="in. w.c.",
        rel=1e-9,
        status="read",
    )


# A tap through the point of the example: in. w.c., cfm, W.
CELLS = [(0.3, 1150.0, 430.0), (0.5, 1000.0, 400.0), (0.7, 830.0, 360.0)]


@pytest.mark.parametrize(("airflow", "pressure"), [(800, 0.31), (515, 0.13)])
def test_a_furnace_manuals_square_law(check, airflow, pressure):
    """A furnace manual's footnote (read): 1010 cfm at 0.5 are 800 at 0.31 and 515 at 0.13."""
    law = PowerLaw.through(0.50, 1010.0, 2.0)
    check(
        formula="square law",
        source="furnace-manual",
        place="footnote to its blower table",
        case=f"1,010 cfm at 0.50 in. w.c., at {airflow} cfm",
        says=pressure,
        got=law.drop(float(airflow)),
        unit="in. w.c.",
        abs=0.005,
        status="read",
    )


def test_system_curve_scaling():
    """850 cfm at 0.80: 1000 cfm need 1.107 (n 2) or 1.081 (n 1.85); 0.50 moves 672 cfm (0.2 %)."""
    square = PowerLaw.through(0.80, 850.0, 2.0)
    assert square.drop(1000.0) == pytest.approx(1.107, rel=2e-3)
    assert square.drop(1200.0) == pytest.approx(1.594, rel=2e-3)
    assert square.flow(0.50) == pytest.approx(672.0, rel=2e-3)
    assert PowerLaw.through(0.80, 850.0, 1.85).drop(1000.0) == pytest.approx(1.081, rel=2e-3)
