"""A motor that holds its airflow: a flat curve that may tilt, and lets go earlier with dust."""

from dataclasses import replace

import numpy as np
import pytest

from inchwater.network import compile_network, solve
from tests.network.surveys import AIRFLOW, PSC, attic

CALL = {"call": "fan"}


def held(wheel=None):
    survey = attic(AIRFLOW, "1200", "constant-airflow")
    return compile_network(replace(survey, unit=replace(survey.unit, wheel=wheel)), CALL)


def airflow(network, resist=1.0, **values):
    given = {name.replace("_", ":"): np.array([value]) for name, value in values.items()}
    filters = {f"filter:f1:condition{tail}": np.array([resist]) for tail in ("", ":filter")}
    return solve(network, given | filters, 1)


def test_a_tilt_is_a_share_of_the_rated_airflow_over_the_rated_pressure():
    """By its very meaning: 2 % more at twice the rated pressure, none at the rated one."""
    network = held()
    plain, tilted = airflow(network), airflow(network, unit_tilt=0.02)
    rated = network.fan.curves[0].airflow(network.fan.rated)
    added = 0.02 * rated * (tilted.entry / network.fan.rated - 1.0)
    curve = network.fan.curves[0]
    assert tilted.airflow == pytest.approx(curve.airflow(tilted.entry) + added, rel=1e-6)
    assert plain.airflow == pytest.approx(curve.airflow(plain.entry), rel=1e-6)


def test_a_dusty_wheel_takes_no_air_until_the_power_ends():
    """Inside the map the motor makes up for dust; past it the dusty one gives less."""
    network = held()
    for resist, most in ((1.0, 0.005), (40.0, 0.2)):
        clean = airflow(network, resist, unit_wheel=1.0).airflow[0]
        dusty = airflow(network, resist, unit_wheel=0.88).airflow[0]
        assert dusty <= clean
        assert dusty > (1.0 - most) * clean
    assert dusty < 0.99 * clean


def test_other_motors_have_a_slope_to_be_steeper_by():
    """A PSC blower's curve is multiplied, not tilted, and dust takes air at every pressure."""
    fan = compile_network(attic(PSC, "high", "psc"), CALL).fan
    assert fan.slant_by == "unit:slant"
    assert fan.tilt_by is None
    assert fan.reach_by == ()
    assert "unit:wheel" in dict(fan.level)
    assert "unit:wheel" not in dict(held().fan.level)
