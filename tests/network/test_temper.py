"""Supply air is colder or hotter than what came in: as much mass, another volume, another drop."""

from dataclasses import replace

import numpy as np
import psychrolib
import pytest

from inchwater.air import air_at
from inchwater.network import compile_network, solve
from inchwater.network.temper import thinner
from inchwater.survey import HeatKit
from inchwater.units import to_si
from tests.network.surveys import attic, basement, seen

USUAL = to_si(325.0 * 3.0, "cfm")


def of(survey, **state):
    return thinner(survey, state, air_at(0.0), USUAL)


def with_heat(survey, **unit):
    return replace(survey, unit=replace(survey.unit, **unit))


def test_a_fan_call_leaves_the_air_as_it_came():
    """Nothing cools or heats, and where no call is said nothing is taken for granted."""
    assert of(attic(), call="fan") == of(attic()) == (1.0, 1.0)


def test_cold_air_is_denser_as_psychrolib_has_it():
    """A coil that takes 19 °F off saturated-ready air, by the library's moist-air volumes.

    Reference: ASHRAE Handbook Fundamentals, psychrometrics, eq. 26, as in psychrolib
    (GetMoistAirVolume); at one humidity ratio volumes go as absolute temperatures.
    """
    psychrolib.SetUnitSystem(psychrolib.SI)
    ratio = 0.009
    before = psychrolib.GetMoistAirVolume(21.11, ratio, 101325.0)
    after = psychrolib.GetMoistAirVolume(21.11 - 19.0 * 5.0 / 9.0, ratio, 101325.0)
    assert of(attic(), call="cooling").supply == pytest.approx(after / before, rel=1e-3)


def test_a_furnace_moves_air_that_no_coil_has_cooled():
    """Its coil stands behind the wheel, an air handler's before it."""
    assert of(basement(), call="cooling").wheel == 1.0
    assert of(attic(), call="cooling").wheel == of(attic(), call="cooling").supply < 1.0


def test_heat_by_elements_is_spread_over_the_usual_airflow():
    """9.6 kW into 975 cfm of 70 °F: 31.1 °F by the trade's 1.08 (memory), one part in seventeen."""
    kit = HeatKit(power=seen(9.6, "kw"))
    survey = with_heat(attic(), heat="electric", heat_kit=kit)
    found = of(survey, call="heating")
    assert found.supply == pytest.approx(1.0 + 9600 * 3.412 / (1.08 * 975) / 529.67, rel=2e-3)
    # Elements stand behind the wheel, a heat pump's coil before it.
    assert found.wheel == 1.0
    pump = of(with_heat(attic(), heat="heat-pump"), call="heating")
    assert pump.wheel == pump.supply > 1.0


def test_as_much_mass_drops_less_cold_and_more_hot():
    """At one airflow of a constant-airflow blower the supply's pressure goes with the volume."""
    cold, plain, hot = (
        solve(compile_network(attic(), {"call": call, "tap": "3"}), {}, 1)
        for call in ("cooling", "fan", "heating")
    )
    for s in (cold, hot):
        same = (s.airflow / s.network.fan.volume) / (plain.airflow / plain.network.fan.volume)
        assert np.all(np.abs(same - 1.0) < 0.05)
        scale = (s.supply / plain.supply) / (s.airflow / plain.airflow) ** 2
        assert scale == pytest.approx(s.network.thinner, rel=0.02)
