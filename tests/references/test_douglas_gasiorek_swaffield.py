"""Douglas, Gasiorek and Swaffield, Fluid Mechanics, examples 14.5 and 14.6.

Inputs read in a FOSSEE Scilab companion (557); the book's f is Fanning's, a quarter of Darcy's, and
given, so these check local losses, areas and the sum; friction by hand from the given f.
"""

from __future__ import annotations

import math

import pytest

from inchwater.air import Air
from inchwater.parts import ducts

AIR = Air(1.2, 1.8e-5)
DARCY = 4.0 * 0.008


def side(flow: float, area: float, over_diameter: float, loss: float) -> float:
    """Pressure lost in one duct [Pa]: friction over L/D diameters, and local losses."""
    return float(ducts.local_drop(flow, area, DARCY * over_diameter + loss, AIR)[0])


def test_example_14_5():
    """Inlet side 438.58 Pa, outlet side 816.00 Pa, fan 1254.58 Pa (0.1 %)."""
    inlet = side(0.8, ducts.circle_area(0.3), 10.0 / 0.3 + 20.0, 4.0)
    outlet = side(0.8, 0.4 * 0.2, 30.0 / ducts.hydraulic_diameter(0.4, 0.2), 10.0)
    assert inlet == pytest.approx(438.58, rel=1e-3)
    assert outlet == pytest.approx(816.00, rel=1e-3)
    assert inlet + outlet == pytest.approx(1254.58, rel=1e-3)


def test_example_14_6():
    """Inlet 471.37 Pa, outlet 213.14 Pa, fan 684.51 Pa (0.1 %)."""
    inlet = side(0.2, ducts.circle_area(0.15), 10.0 / 0.15, 4.0)
    outlet = side(0.8, ducts.circle_area(0.3), 20.0 / 0.3 + 20.0, 0.0)
    assert inlet + outlet == pytest.approx(684.51, rel=1e-3)
    assert inlet == pytest.approx(471.37, rel=1e-3)
    assert outlet == pytest.approx(213.14, rel=1e-3)


def test_the_given_factor_is_plausible():
    """Darcy 0.032 belongs to a rough duct: our factor meets it at a roughness of some 2 mm."""
    reynolds = 1.2 * 0.8 / ducts.circle_area(0.3) * 0.3 / 1.8e-5
    assert ducts.friction_factor(reynolds, 1.5e-3 / 0.3) < DARCY
    assert ducts.friction_factor(reynolds, 3e-3 / 0.3) > DARCY
    assert math.isclose(reynolds, 226_000, rel_tol=0.01)
