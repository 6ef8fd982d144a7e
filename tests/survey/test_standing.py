"""Of several trials, which one the answer speaks of."""

from dataclasses import replace

import pytest

from inchwater.answer import answer
from inchwater.survey import (
    Change,
    Reading,
    Trial,
    minimal_job,
    standing_state,
    standing_trial,
    volts_of,
)
from inchwater.units import to_si


def job_with(*trials, changes=()):
    """The job of three numbers with other trials than its own."""
    job = minimal_job(
        capacity=to_si(3.0, "ton"),
        return_static=to_si(0.29, "inwc"),
        supply_static=to_si(0.42, "inwc"),
    )
    return replace(job, trials=trials, changes=changes)


@pytest.mark.parametrize(
    ("trials", "stands"),
    [
        ((), None),
        ((Trial("t1"),), "t1"),
        # Another state under the same changes is read to learn from.
        ((Trial("t1"), Trial("t2", condition={"call": "heating"})), "t1"),
        ((Trial("t1"), Trial("t2", condition={"door:den": "shut"})), "t1"),
        # A measuring state is no baseline, wherever it stands.
        ((Trial("t1", condition={"filter:f1": "out"}), Trial("t2")), "t2"),
        ((Trial("t1"), Trial("t2", condition={"run:r1": "pulled-capped"})), "t1"),
        ((Trial("t1", condition={"filter:f1": "out"}),), "t1"),
        # After a change the system stands where it was read then.
        ((Trial("t1"), Trial("t2", after=("c1",))), "t2"),
        (
            (
                Trial("t1"),
                Trial("t2", after=("c1",)),
                Trial("t3", after=("c1",), condition={"call": "fan"}),
            ),
            "t2",
        ),
    ],
)
def test_a_system_stands_in_the_first_trial_of_its_latest_changes(trials, stands):
    """Later trials under the same changes are other states, and measuring states never count."""
    found = standing_trial(job_with(*trials, changes=(Change("c1", "tighten-run", ("r1",)),)))
    assert (found.id if found else None) == stands


def test_an_answer_speaks_of_the_state_that_the_system_stands_in():
    """A second pair of readings in the call for heating leaves the first one the answer's."""
    job = job_with()
    first = minimal_job(
        capacity=to_si(3.0, "ton"),
        return_static=to_si(0.29, "inwc"),
        supply_static=to_si(0.42, "inwc"),
    ).trials[0]
    shown = tuple(replace(one, id=f"x-{one.id}", value=0.8 * one.value) for one in first.readings)
    other = Trial("t2", condition={"call": "heating"}, readings=shown)
    found = answer(replace(job, trials=(first, other)), 7)
    assert "in the call for" not in found.sentence.text()
    read = {point.key: point.reading for point in found.path if point.reading is not None}
    assert read == {"return": -to_si(0.29, "inwc"), "supply": to_si(0.42, "inwc")}


def volts(value):
    """A voltage as read at the unit."""
    return Reading(f"v{value}", "unit", "voltage", str(value), "v", value)


def test_volts_are_as_read_last():
    """In the trial itself, else before it: the house's own, whatever is done to its ducts."""
    trials = (
        Trial("t1"),
        Trial("t2", readings=(volts(230.0), volts(208.0))),
        Trial("t3", after=("c1",)),
        Trial("t4", after=("c1",), readings=(volts(215.0),)),
    )
    job = job_with(*trials, changes=(Change("c1", "tighten-run", ("r1",)),))
    assert [volts_of(job, one) for one in trials] == [None, 208.0, 208.0, 215.0]


def test_a_state_for_measuring_only_is_not_stood_in():
    """And a tap that is set for good outranks the one that ran."""
    ran = Trial("t1", condition={"call": "cooling", "tap": "3", "filter:f1": "out"})
    job = job_with(ran, changes=(Change("c1", "tap", ("unit",)),))
    assert standing_state(job) == {"call": "cooling", "tap": "3"}
    assert standing_state(job, ("c1",)) == {"call": "cooling"}
    assert standing_state(job_with()) == {}
