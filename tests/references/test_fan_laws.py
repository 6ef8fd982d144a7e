"""Fan laws in three trade and engineering texts (read): density at fixed speed, and speed.

10 000 cfm, 0.15 in. w.c., 1.85 hp at 0.075 lb/ft3 are 10 000 cfm, 0.12, 1.48 hp at 0.060.
"""

from __future__ import annotations

import pytest

from inchwater.air import STANDARD, Air
from inchwater.parts import blowers, ducts
from inchwater.parts.blower_tables import Cell
from inchwater.parts.laws import PowerLaw
from inchwater.units import to_si

THIN = Air(to_si(0.060, "lbft3"), STANDARD.viscosity)


def test_thin_air_keeps_the_volume():
    """A table entered with the thin air's pressure over its ratio gives the same airflow."""
    curve = blowers.tap_curve([Cell("a", 30.0, 4.9), Cell("a", 45.0, 4.5)], "a")
    here = curve.airflow(to_si(0.15, "inwc"))
    entry = blowers.density_ratio_entry(to_si(0.12, "inwc"), THIN.density_ratio)
    assert curve.airflow(entry) == pytest.approx(here, rel=1e-3)


def test_a_square_law_system_scales_alike():
    """At one airflow a turbulent part's pressure falls with the density, 0.15 to 0.12."""
    law = PowerLaw.through(0.15, 10_000.0, 2.0)
    assert law.in_air(THIN).drop(10_000.0) == pytest.approx(0.12, rel=1e-3)
    local, _ = ducts.local_drop(1.0, 0.1, 2.0, THIN)
    assert local / ducts.local_drop(1.0, 0.1, 2.0, STANDARD)[0] == pytest.approx(0.8, rel=1e-3)


@pytest.mark.parametrize(("flow", "pressure"), [(1100, 0.605), (900, 0.405)])
def test_speed_moves_along_one_square_law(flow, pressure):
    """1000 cfm and 0.50 in. w.c. at speed ×1.1 and ×0.9 stay on one square law."""
    law = PowerLaw.through(0.50, 1000.0, 2.0)
    assert law.drop(float(flow)) == pytest.approx(pressure, rel=1e-12)


def test_a_furnace_manuals_square_law():
    """A furnace manual's footnote (read): 1010 cfm at 0.5 are 800 at 0.31 and 515 at 0.13."""
    law = PowerLaw.through(0.50, 1010.0, 2.0)
    assert law.drop(800.0) == pytest.approx(0.31, abs=0.005)
    assert law.drop(515.0) == pytest.approx(0.13, abs=0.005)


def test_system_curve_scaling():
    """850 cfm at 0.80: 1000 cfm need 1.107 (n 2) or 1.081 (n 1.85); 0.50 moves 672 cfm (0.2 %)."""
    square = PowerLaw.through(0.80, 850.0, 2.0)
    assert square.drop(1000.0) == pytest.approx(1.107, rel=2e-3)
    assert square.drop(1200.0) == pytest.approx(1.594, rel=2e-3)
    assert square.flow(0.50) == pytest.approx(672.0, rel=2e-3)
    assert PowerLaw.through(0.80, 850.0, 1.85).drop(1000.0) == pytest.approx(1.081, rel=2e-3)
