"""AMCA 210 / ASHRAE velocity pressure: V = 4005 √VP at 0.075 lb/ft3 (form from memory).

The 0.1 % between 4005 and SI arithmetic comes from the inch of water, at 4 °C here.
"""

from __future__ import annotations

import pytest

from inchwater.air import STANDARD, Air
from inchwater.parts import ducts
from inchwater.units import from_si, to_si

# V [fpm], (V/4005)² [in. w.c.], ρV²/2 [Pa].
ROWS = [
    (300, 0.00561, 1.3952),
    (400, 0.00998, 2.4803),
    (500, 0.01559, 3.8754),
    (600, 0.02244, 5.5806),
    (700, 0.03055, 7.5958),
    (800, 0.03990, 9.9211),
    (900, 0.05050, 12.5564),
    (1000, 0.06234, 15.5017),
    (1200, 0.08978, 22.3225),
    (1500, 0.14027, 34.8788),
    (2000, 0.24938, 62.0068),
    (4005, 1.00000, 248.6478),
]


@pytest.mark.parametrize(("fpm", "inwc", "pascal"), ROWS)
def test_velocity_pressure(fpm, inwc, pascal):
    """Pascals within 0.1 %, the trade's rule within 0.5 %."""
    found = float(ducts.velocity_pressure(to_si(fpm, "fpm") * 0.05, 0.05, STANDARD))
    assert found == pytest.approx(pascal, rel=1e-3)
    assert from_si(found, "inwc") == pytest.approx(inwc, rel=5e-3, abs=5e-6)


def test_thin_air_needs_the_general_form():
    """VP 0.05 in. w.c. in air of 0.0624 lb/ft3 is 981.7 fpm, not the 895.5 of the 4005 rule."""
    thin = Air(to_si(0.0624, "lbft3"), STANDARD.viscosity)
    pressure = ducts.velocity_pressure(to_si(981.7, "fpm"), 1.0, thin)
    assert from_si(float(pressure), "inwc") == pytest.approx(0.05, rel=3e-3)
