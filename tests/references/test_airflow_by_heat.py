"""Airflow from a temperature rise: an electric-heat example (read), and the trade's 1.08.

The worked example stands on the page iheatcool.com: 235 V and 75 A, 74 to 110 °F.
"""

from __future__ import annotations

import pytest

from inchwater.air import STANDARD, Air, airflow_from_rise, electric_heat, sensible_heat
from inchwater.errors import InputError
from inchwater.units import from_si, to_si

DEGREE = 5.0 / 9.0  # a Fahrenheit degree as a difference [K]


def test_the_factor_of_dry_and_of_moist_air(check):
    """1.08 Btu/h per cfm and °F; 1.10 with moisture, where the handbook holds dry air to 0.075."""
    for ratio, says, tolerance in ((0.0, 1.08, 2e-3), (0.010, 1.10, 0.01)):
        found = sensible_heat(to_si(1.0, "cfm"), DEGREE, humidity_ratio=ratio)
        check(
            formula="sensible factor",
            source="trade",
            place="factor of the sensible heat equation",
            case=f"standard air, humidity ratio {ratio:g}",
            says=says,
            got=from_si(found, "btuh"),
            unit="Btu/h per cfm and °F",
            rel=tolerance,
            status="common practice",
        )


def test_the_factor_at_altitude(check):
    """1.08 at 5000 ft is 0.899, with the density factor of a fan catalogue, 0.832."""
    thin = Air(0.832 * STANDARD.density, STANDARD.viscosity)
    found = sensible_heat(to_si(1.0, "cfm"), DEGREE, thin)
    check(
        formula="sensible factor",
        source="fan-catalogue",
        place="air density factors",
        case="1.08 × 0.832 at 5,000 ft",
        says=0.8986,
        got=from_si(found, "btuh"),
        unit="Btu/h per cfm and °F",
        rel=2e-3,
        status="read",
    )


def test_the_factor_in_si(check):
    """1.21 W per L/s and K, as metric handbooks round it."""
    check(
        formula="sensible factor",
        source="cibse-c",
        place="heat carried by air",
        case="standard air, 1 L/s warmed by 1 K",
        says=1.21,
        got=sensible_heat(0.001, 1.0),
        unit="W",
        rel=5e-3,
        status="memory",
    )


def test_the_electric_heat_of_the_example(check):
    """235 V and 75 A are 60 171 Btu/h with the page's 3.414, and 1548 cfm at a rise of 36 °F."""
    heat = electric_heat(235.0, 75.0)
    check(
        formula="electric heat",
        source="iheatcool",
        place="worked example",
        case="235 V, 75 A",
        says=60_171,
        got=from_si(heat, "btuh"),
        unit="Btu/h",
        rel=1e-3,
        status="read",
    )
    check(
        formula="temperature rise",
        source="iheatcool",
        place="worked example",
        case="235 V, 75 A, 74 to 110 °F",
        says=1548,
        got=from_si(airflow_from_rise(heat, (110.0 - 74.0) * DEGREE), "cfm"),
        unit="cfm",
        rel=3e-3,
        status="read",
    )


# Heat [W], rise [°F], density ratio; cfm by heat / (1.08 × ratio × rise).
BY_HAND = [
    ("10 kW strip, 40 °F", 10_000.0, 40.0, 1.0, 789.8),
    ("gas, 100,000 Btu/h in, 80 %, 70 to 130 °F", to_si(80_000.0, "btuh"), 60.0, 1.0, 1234.6),
    ("gas, 80,000 Btu/h in, 80 %, 55 °F", to_si(64_000.0, "btuh"), 55.0, 1.0, 1077.4),
    ("the same at 5,280 ft", to_si(64_000.0, "btuh"), 55.0, 0.8234, 1308.6),
]


@pytest.mark.parametrize(("case", "heat", "rise", "ratio", "cfm"), BY_HAND)
def test_rises_worked_by_hand(check, case, heat, rise, ratio, cfm):
    """The trade's Btu/h = 1.08 × cfm × °F, turned round by hand."""
    there = Air(ratio * STANDARD.density, STANDARD.viscosity)
    check(
        formula="temperature rise",
        source="hand",
        place="cfm = Btu/h over 1.08 °F",
        case=case,
        says=cfm,
        got=from_si(airflow_from_rise(heat, rise * DEGREE, there), "cfm"),
        unit="cfm",
        rel=3e-3,
        status="computed",
    )


def test_the_blower_warms_its_air(check):
    """500 W in 1000 cfm warm it by 1.58 °F."""
    rise = 500.0 / sensible_heat(to_si(1000.0, "cfm"), 1.0)
    check(
        formula="temperature rise",
        source="hand",
        place="°F = Btu/h over 1.08 cfm",
        case="500 W of a blower in 1,000 cfm",
        says=1.58,
        got=rise / DEGREE,
        unit="°F",
        rel=5e-3,
        status="computed",
    )


def test_forward_is_backward():
    """Heat of an airflow gives that airflow back, moist and thin air too."""
    thin = Air(0.97, 1.8e-5)
    heat = sensible_heat(0.4, 17.0, thin, 0.012)
    assert airflow_from_rise(heat, 17.0, thin, 0.012) == pytest.approx(0.4, rel=1e-12)


def test_no_rise_is_no_airflow():
    """Without a rise nothing can be divided by, and what to do is said."""
    with pytest.raises(InputError) as caught:
        airflow_from_rise(5000.0, 0.0)
    assert str(caught.value) == (
        "rise: 0 K came; heat warms the air. "
        "Wait until heat is on and the temperatures stand still."
    )
