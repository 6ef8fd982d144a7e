"""The smallest job: three numbers and two choices."""

from __future__ import annotations

import pytest

from inchwater import units
from inchwater.errors import InputError, UnknownNameError
from inchwater.survey import Coil, Fact, How, job_from_dict, job_to_dict, minimal_job
from tests.survey.houses import table

THREE_TONS = units.to_si(3, "ton")
INCH = units.to_si(1, "inwc")


def start(**more):
    """Three tons, 0.29 and 0.42 in. w.c."""
    given = {
        "capacity": THREE_TONS,
        "return_static": 0.29 * INCH,
        "supply_static": 0.42 * INCH,
        "kind": "air-handler",
    }
    return minimal_job(**{**given, **more})


def test_three_numbers_are_a_job():
    """Statics get the sign of their side; what was not said is unknown."""
    job = start()
    (trial,) = job.trials
    assert [(r.id, r.at, r.quantity, r.typed, r.unit) for r in trial.readings] == [
        ("rd-return", "return", "static", "0.29", "inwc"),
        ("rd-supply", "supply", "static", "0.42", "inwc"),
    ]
    assert [r.value for r in trial.readings] == [-0.29 * INCH, 0.42 * INCH]
    assert job.survey.unit.capacity == Fact(3.0, "ton", How.STATED)
    assert job.survey.coils == (Coil("coil", inside_unit=True),)
    assert (job.survey.filters, job.survey.returns, job.survey.supply) == (None, None, None)
    assert job_from_dict(job_to_dict(job)) == job


def test_the_sign_is_free():
    """A positive return and a negative supply are the same readings."""
    assert start(return_static=-0.29 * INCH, supply_static=-0.42 * INCH) == start()


def test_what_was_typed_is_kept():
    """The words and the unit of the field go into the reading; the value is SI."""
    job = start(typed={"return": ("0,29", "inwc"), "watts": ("0.41 kW", "w")}, watts=410.0)
    back, out, power = job.trials[0].readings
    assert (back.typed, back.unit) == ("0,29", "inwc")
    assert (out.typed, out.unit) == ("0.42", "inwc")
    assert (power.at, power.quantity, power.typed, power.value) == ("unit", "power", "0.41 kW", 410)


@pytest.mark.parametrize(
    ("kind", "supply_at", "at", "coils"),
    [
        ("furnace", "before-coil", "before-coil", (Coil("coil", inside_unit=False),)),
        ("furnace", "after-coil", "supply", (Coil("coil", inside_unit=False),)),
        ("furnace", None, "supply", None),
        ("air-handler", "after-coil", "supply", (Coil("coil", inside_unit=True),)),
        ("packaged", None, "supply", (Coil("coil", inside_unit=True),)),
    ],
)
def test_where_the_supply_was_read_is_a_test_point(kind, supply_at, at, coils):
    """Before the coil is a place of its own on a furnace with a cased coil."""
    job = start(kind=kind, supply_at=supply_at)
    assert job.trials[0].readings[1].at == at
    assert job.survey.coils == coils


@pytest.mark.parametrize(
    ("kind", "unit"), [("air-handler", "an air handler"), ("packaged", "a packaged unit")]
)
def test_a_coil_inside_the_cabinet_leaves_no_place_before_it(kind, unit):
    """The error says where the coil is and what to do instead."""
    with pytest.raises(InputError) as caught:
        start(kind=kind, supply_at="before-coil")
    assert str(caught.value) == (
        f"supply_at: before-coil came; {unit} has its coil inside the cabinet, so there is no "
        "test point between blower and coil. "
        "Read in the supply plenum, after the unit, and say after-coil."
    )


def test_everything_else_that_is_known_has_its_place():
    """Table, tap, plate, altitude, volts, condition."""
    job = start(
        motor="psc",
        table=table(),
        tap="2",
        tesp_rating=0.5 * INCH,
        altitude=1609.344,
        volts=236.0,
        condition={"call": "cooling"},
        taken="2026-03-02T10:00:00Z",
        id="j7",
        name="Attic",
    )
    unit = job.survey.unit
    assert (unit.motor, unit.tap, unit.table) == ("psc", "2", table())
    assert unit.tesp_rating == Fact(0.5, "inwc", How.SEEN)
    assert job.survey.place.altitude == Fact(5280.0, "ft", How.STATED)
    assert job.trials[0].condition == {"call": "cooling"}
    assert job.trials[0].readings[-1].quantity == "voltage"
    assert {r.taken for r in job.trials[0].readings} == {"2026-03-02T10:00:00Z"}
    assert (job.id, job.name) == ("j7", "Attic")


def test_a_capacity_can_be_a_fact():
    """A plate that was read is better known than a number that was said."""
    plate = Fact(10.5, "kw_cooling", How.SEEN)
    assert start(capacity=plate).survey.unit.capacity == plate


@pytest.mark.parametrize(
    ("more", "text"),
    [
        (
            {"kind": "boiler"},
            "kind: 'boiler' came; one of air-handler, furnace, packaged is wanted.",
        ),
        (
            {"supply_at": "coil"},
            "supply_at: 'coil' came; one of before-coil, after-coil is wanted.",
        ),
        (
            {"table": table(), "tap": "9"},
            "survey.unit.tap: '9' came; the table has taps 2, 3. "
            "Choose one of them, or add the cells of this tap.",
        ),
        (
            {"capacity": units.to_si(36, "ton")},
            "survey.unit.capacity: 36.0 ton came; units run from 0.5 to 10 ton.",
        ),
        (
            {"supply_static": 2000.0},
            "trials[0].readings[1]: 2000 Pa came; residential blowers reach at most 1,200 Pa, "
            "5 in. w.c. Check the unit, and read again.",
        ),
    ],
)
def test_what_cannot_be_is_refused(more, text):
    """A job that was built is a job that passed every check."""
    with pytest.raises((InputError, UnknownNameError)) as caught:
        start(**more)
    assert str(caught.value) == text
