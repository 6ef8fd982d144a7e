"""Readings that cannot be right: each kind of doubt, its words, and silence where all is well."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from inchwater.findings import doubts
from inchwater.quantity import Estimate
from inchwater.rehearsal import demos
from inchwater.survey import Coil, Fact
from tests.solved import cfm, demo, inwc, stand_in, three_numbers, with_reading


def found(job, airflow=700, beyond=0.0, residuals=()):
    """Doubts about a job by id, without solving it."""
    prediction = stand_in(job.survey, np.full(5, cfm(airflow)), beyond=np.full(5, beyond))
    posterior = SimpleNamespace(residuals=residuals)
    return {doubt.id: doubt for doubt in doubts(job, prediction, posterior)}


@pytest.mark.parametrize("letter", ["a", "b", "c"])
def test_the_demos_readings_are_not_doubted(letter):
    """Honest readings raise no doubt."""
    job, posterior, prediction = demo(letter)
    assert doubts(job, prediction, posterior) == ()


def test_three_honest_numbers_are_not_doubted():
    """Nor do the three numbers of a start."""
    assert found(three_numbers()) == {}


def test_swapped_tubes_are_told_as_swapped_tubes():
    """Return above the room, supply below it."""
    job = with_reading(three_numbers(), "return", inwc(0.29))
    job = with_reading(job, "supply", -inwc(0.42))
    doubt = found(job)["tubes-swapped"]
    assert doubt.text.text() == (
        "The return reads above the room and the supply below it: the tubes are swapped."
    )
    assert doubt.recheck == (
        "Swap the tubes at the manometer, set it to zero, and read both again."
    )


def test_two_statics_of_one_sign_ask_where_the_tubes_sit():
    """Both above, or both below the room's pressure."""
    above = found(with_reading(three_numbers(), "return", inwc(0.29)))["same-sign"]
    below = found(with_reading(three_numbers(), "supply", -inwc(0.42)))["same-sign"]
    assert above.text.text() == (
        "Both statics read above the room's pressure; a running blower pulls the return below it "
        "and pushes the supply above it."
    )
    assert "read below the room's" in below.text.text()


def test_pascals_kept_as_inches_are_told_with_what_they_would_be():
    """150 typed as inches is 0.60 if the gauge showed Pa."""
    doubt = found(with_reading(three_numbers(), "supply", inwc(150)))["too-much:supply"]
    assert doubt.text.text() == (
        "150.00 in. w.c. in the supply plenum is more than a blower of a house can make. If the "
        "gauge showed Pa, it is 0.60 in. w.c."
    )
    assert doubt.recheck == "Look at the unit on the gauge's display and read again."


def test_a_blower_that_hardly_makes_pressure_is_asked_about():
    """0.02 in. w.c. from return to supply: does it run, is its door on."""
    job = with_reading(three_numbers(), "return", -inwc(0.01))
    job = with_reading(job, "supply", inwc(0.01))
    assert found(job)["hardly-any"].text.text() == (
        "From return to supply there is hardly any pressure, 0.02 in. w.c.: a blower that runs "
        "against ducts shows more."
    )


def test_suction_that_falls_across_a_filter_is_told():
    """More suction before the filter than after it."""
    job = with_reading(three_numbers(), "before-filter", -inwc(0.40))
    assert found(job)["filter-gains"].text.text() == (
        "Before the filter the suction is 0.40 in. w.c., after it 0.29 in. w.c.: air does not gain "
        "pressure in a filter."
    )
    # Within the repeatability of one technician nothing is said.
    job = with_reading(three_numbers(), "before-filter", -inwc(0.30))
    assert "filter-gains" not in found(job)


def test_pressure_that_rises_across_a_coil_is_told():
    """More after the coil than before it."""
    job = with_reading(three_numbers(), "before-coil", inwc(0.30))
    job = replace(job, survey=replace(job.survey, coils=(Coil("c1", inside_unit=False),)))
    assert found(job)["coil-gains"].text.text() == (
        "After the coil there is 0.42 in. w.c., before it 0.30 in. w.c.: air does not gain "
        "pressure in a coil."
    )


def test_a_filter_that_takes_more_than_the_whole_return_side_is_told():
    """A 14 x 20 pleat at 1,200 cfm takes 0.38 clean; a return of 0.10 cannot hold it."""
    job = three_numbers()
    from inchwater.survey import Filter

    one = Filter("f1", grade="pleat-1in-merv8", width=Fact(14, "in"), height=Fact(20, "in"))
    job = replace(job, survey=replace(job.survey, filters=(one,)))
    job = with_reading(job, "return", -inwc(0.10))
    assert found(job, airflow=1200)["filter-over-return"].text.text() == (
        "This filter, clean, takes about 0.38 in. w.c. at this airflow, yet the whole return side "
        "reads 0.10 in. w.c."
    )
    without = replace(job.trials[0], condition={"filter:f1": "out"})
    assert "filter-over-return" not in found(replace(job, trials=(without,)), airflow=1200)


def test_beyond_the_table_is_told_by_how_far():
    """A pressure past the last column: how far, in the user's unit."""
    doubt = found(three_numbers(), beyond=inwc(0.05))["outside-table"]
    assert doubt.text.text() == (
        "The pressure lies 0.05 in. w.c. past the last column of the table; there the airflow is a "
        "guess that widens with every step."
    )
    assert "lies 12 Pa past" in doubt.text.text("si")


def test_a_table_of_a_smaller_unit_is_told():
    """The 3-ton table on a 5-ton capacity moves too little on every tap."""
    job = demos()["b"]
    unit = replace(job.survey.unit, capacity=Fact(5, "ton"))
    doubt = found(replace(job, survey=replace(job.survey, unit=unit)))["table-for-capacity"]
    assert doubt.text.text() == (
        "The table moves 71 % of what a unit of 5.0 ton usually moves at these pressures: less "
        "than one of this capacity is made for."
    )


def test_a_table_of_a_larger_unit_is_told():
    """The 3-ton table on a 1.5-ton capacity moves far too much on the tap in use."""
    job = demos()["b"]
    unit = replace(job.survey.unit, capacity=Fact(1.5, "ton"))
    doubt = found(replace(job, survey=replace(job.survey, unit=unit)))["table-for-capacity"]
    assert doubt.text.text().startswith("The tap in use moves ")
    assert doubt.text.text().endswith(": more than one of this capacity is made for.")


def residual(at, measured, predicted, surprise, kind="pressure"):
    estimate = Estimate(predicted, predicted, predicted, kind)
    return SimpleNamespace(at=at, measured=measured, predicted=estimate, surprise=surprise)


def test_a_reading_far_from_what_the_system_can_give_is_told():
    """Three sigma and more: what was read, what such a system gives."""
    wild = residual("supply", inwc(0.42), inwc(0.20), 3.5)
    doubt = found(three_numbers(), residuals=(wild,))["surprise:supply"]
    assert doubt.text.text() == (
        "0.42 in. w.c. was read in the supply plenum; a system as described gives about 0.20 in. "
        "w.c."
    )
    calm = residual("supply", inwc(0.42), inwc(0.38), 2.0)
    assert found(three_numbers(), residuals=(calm,)) == {}


def test_a_plain_cause_is_not_told_twice():
    """Swapped tubes surprise the model too; the cause is told, not its echo."""
    job = with_reading(three_numbers(), "return", inwc(0.29))
    job = with_reading(job, "supply", -inwc(0.42))
    wild = residual("supply", -inwc(0.42), inwc(0.20), -9.0)
    assert set(found(job, residuals=(wild,))) == {"tubes-swapped"}
