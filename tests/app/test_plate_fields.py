"""What a plate says of heat, what surrounds the ducts, and a year's use, typed in their fields."""

from __future__ import annotations

import pytest

from inchwater.app.visits import services
from inchwater.survey import Fact, How


def test_a_range_of_rise_is_two_numbers(firm, visit, thin):
    """One of them waits for the other; then the job has the range, and both are shown."""
    waits = thin("rise_low", "35")
    assert (waits.ok, waits.note) == (
        True,
        "Kept. It counts with the field “Temperature rise on the plate: to”.",
    )
    assert services.job(firm, visit.pk).survey.unit.rise == {}
    assert thin("rise_high", "65").ok
    rise = services.job(firm, visit.pk).survey.unit.rise["heating"]
    assert (rise.low, rise.high) == (
        Fact(35.0, "degf_rise", How.SEEN),
        Fact(65.0, "degf_rise", How.SEEN),
    )
    assert services.visit_values(firm, visit.pk)["rise_low"] == "35"


def test_a_range_upside_down_is_refused_and_kept(firm, visit, thin):
    """What was typed stays as a draft, with the reason; the job is as it was."""
    thin("rise_low", "65")
    saved = thin("rise_high", "35")
    assert saved.problem is not None
    assert saved.problem["right"] == "a plate allows a rise from a lower to a higher figure"
    assert services.visit_values(firm, visit.pk)["rise_high"] == "35"
    assert services.job(firm, visit.pk).survey.unit.rise == {}


@pytest.mark.parametrize(
    ("name", "typed", "found"),
    [
        ("sensible_share", "75", lambda s: s.unit.sensible_share),
        ("heat_output_low", "40000", lambda s: s.unit.heat_output_low),
        ("heat_kit_least", "900", lambda s: s.unit.heat_kit.least_airflow),
        ("duct_air", "50 °C", lambda s: s.place.duct_air),
        ("duct_dew_point", "68", lambda s: s.place.duct_dew_point),
        ("hours_cooling", "1200 hours", lambda s: s.use.hours["cooling"]),
        ("hours_heating_low", "900", lambda s: s.use.hours["heating-low"]),
        ("energy_cooling", "2500", lambda s: s.use.energy["cooling"]),
        ("energy_price", "0.18", lambda s: s.use.price),
    ],
)
def test_each_has_its_place_in_the_job(firm, visit, thin, name, typed, found):
    """As typed, with its unit; taken away again when the field is emptied."""
    assert thin(name, typed).ok
    fact = found(services.job(firm, visit.pk).survey)
    assert fact.value == float(typed.split()[0])
    assert services.visit_values(firm, visit.pk)[name] == typed
    assert thin(name, "").ok
    assert name not in services.visit_values(firm, visit.pk)


def test_more_hours_than_a_year_has_are_refused(thin):
    """The sum of all calls, told with what a year has."""
    assert thin("hours_cooling", "5000").ok
    saved = thin("hours_heating", "6000")
    assert saved.problem is not None
    assert saved.problem["came"] == "11,000 h in all calls together"
