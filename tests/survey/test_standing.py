"""Of several trials, which one the answer speaks of."""

from dataclasses import replace

import pytest

from inchwater.answer import answer
from inchwater.survey import Change, Trial, minimal_job, standing_trial
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
