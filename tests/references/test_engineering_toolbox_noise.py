"""Engineering ToolBox: noise of ducts and of fans (pages d_1405 and d_61), read.

Ducts: 10 + 50 lg v + 10 lg A, with a 200 mm duct worked at 10 and 20 m/s: 45 and 60 dB.
Fans: 67 + 10 lg S + 10 lg p and 94 + 20 lg S − 10 lg Q beside 40 + 10 lg Q + 20 lg p, which is the
form that ours has too and so checks nothing.
"""

from __future__ import annotations

from math import log10

import pytest

from inchwater.effects import noise


def test_a_duct_at_twice_the_speed(check):
    """They print 15 dB for twice the speed, ours is 18: 50 times the logarithm and not 60."""
    check(
        formula="flow noise",
        source="engineering-toolbox",
        place="noise generated in air ducts, example",
        case="200 mm duct, 10 to 20 m/s",
        says=60.0 - 45.0,
        got=noise.velocity_change(10.0, 20.0),
        unit="dB",
        differs=(1.15, 1.25),
        status="read",
    )


def test_twice_the_area_at_one_speed(check):
    """10 lg A: 3 dB for twice the area."""
    check(
        formula="register noise",
        source="engineering-toolbox",
        place="noise generated in air ducts, equation 1",
        case="twice the area, the same velocity",
        says=10.0 * log10(2.0),
        got=noise.terminal_change((2.0, 2.0), (0.1, 0.2), (3.0, 3.0)),
        unit="dB",
        rel=0.01,
        status="read",
    )


def test_the_same_air_through_a_larger_face(check):
    """With 50 and not 60 for the speed, twice the face is 12 dB softer and not 15."""
    check(
        formula="register noise",
        source="engineering-toolbox",
        place="noise generated in air ducts, equation 1",
        case="the same air through twice the area",
        says=50.0 * log10(0.5) + 10.0 * log10(2.0),
        got=noise.terminal_change((2.0, 1.0), (0.1, 0.2), (3.0, 3.0)),
        unit="dB",
        differs=(1.2, 1.3),
        status="read",
    )


@pytest.mark.parametrize("speed", [1.1, 0.8, 1.25])
def test_a_fan_on_its_system_curve(check, speed):
    """Airflow with speed, pressure with its square, power with its cube: the other two forms."""
    ours = noise.blower_change_by_point((1.0, speed), (100.0, 100.0 * speed**2))
    power = 10.0 * log10(speed**3) + 10.0 * log10(speed**2)
    flow = 20.0 * log10(speed**3) - 10.0 * log10(speed)
    for equation, says in (("1a", power), ("1c", flow)):
        check(
            formula="blower noise point",
            source="engineering-toolbox",
            place=f"fans, noise power generation, equation {equation}",
            case=f"shaft speed times {speed:g}",
            says=says,
            got=ours,
            unit="dB",
            rel=0.01,
            status="read",
        )


@pytest.mark.parametrize(("volts", "says"), [(7.0, -11.7), (9.0, -6.25)])
def test_a_small_fan_on_less_voltage(check, volts, says):
    """A page reads 11.7 and 6.25 dB less for speeds of 7/12 and 9/12."""
    check(
        formula="blower noise",
        source="fan-page",
        place="table of laws, noise",
        case=f"speed times {volts:g}/12",
        says=says,
        got=noise.blower_change((12.0, volts)),
        unit="dB",
        rel=0.01,
        status="read",
    )
