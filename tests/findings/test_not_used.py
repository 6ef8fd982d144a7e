"""Readings that the model has nothing to hold against are kept, and said to be."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inchwater import answer
from inchwater.findings import not_used
from inchwater.rehearsal import demos
from inchwater.survey import Reading
from tests.solved import inwc, three_numbers, with_reading

A, B, C = (demos()[letter] for letter in "abc")


def said(job):
    return [one.text.text() for one in not_used(job)]


def without_watts(job):
    """The job whose table prints neither watts nor the blower's speed."""
    unit = job.survey.unit
    rows = tuple(replace(row, power=None, speed=None) for row in unit.table.rows)
    unit = replace(unit, table=replace(unit.table, rows=rows))
    return replace(job, survey=replace(job.survey, unit=unit))


def in_state(job, trial, **condition):
    """The job with one trial's condition, its keys with a dash for the colon."""
    trials = list(job.trials)
    state = {key.replace("_", ":"): word for key, word in condition.items()}
    trials[trial] = replace(trials[trial], condition=state)
    return replace(job, trials=tuple(trials))


@pytest.mark.parametrize("job", [A, B, C, three_numbers()])
def test_what_is_used_is_not_among_them(job):
    """The demos' statics, watts and volts all count."""
    assert said(job) == []


def test_watts_without_a_table_of_watts_say_what_would_make_them_count():
    """Beside their value stands why, and what to type."""
    assert said(without_watts(C)) == [
        "207 W at the unit is kept and not used: the blower table has no watts. With a table that "
        "prints watts it counts."
    ]
    bare = with_reading(three_numbers(cells=False), "unit", 300.0, "power", unit="w")
    assert said(bare) == [
        "300 W at the unit is kept and not used: there is no blower table yet. With a table that "
        "prints watts it counts."
    ]


def test_a_temperature_rise_counts_in_a_full_heating_call_only():
    """In cooling it is to be read again in heating; in heating it is the heat that is lacking."""
    cooling = with_reading(A, "unit", 10.0, "temperature-rise", unit="degc")
    assert said(cooling) == [
        "A rise of 18 °F at the unit is kept and not used: the heat is known in a full heating "
        "call only. Read it again in a full heating call."
    ]
    unknown = three_numbers(cells=False)
    rise = with_reading(unknown, "unit", 10.0, "temperature-rise", unit="degc")
    assert said(in_state(rise, 0, call="heating")) == [
        "A rise of 18 °F at the unit is kept and not used: it is not known what heat the unit "
        "gives. Say what heat the unit gives, and it counts."
    ]


def test_what_no_air_passes_is_said_with_its_trial():
    """The drop across a filter that was out, in the trial of which that was said."""
    job = in_state(B, 1, call="heating", filter_f1="out")
    job = with_reading(job, "filter:f1", inwc(0.2), "drop", trial=1)
    assert said(job) == [
        "0.20 in. w.c. across the filter in the second trial (heating call, filter out) is kept "
        "and not used: no air passes there. Say what was open and in place in that trial, "
        "or take the reading back."
    ]


def test_a_hole_behind_a_grille_without_a_size_asks_for_it():
    """Its jet hangs on how fast the air goes through the grille."""
    returns = tuple(replace(one, grille=None) for one in A.survey.returns)
    job = replace(A, survey=replace(A.survey, returns=returns))
    name = returns[0].id
    job = with_reading(job, f"return:{name}", -inwc(0.05))
    assert said(job) == [
        f"0.05 in. w.c. behind the grille of {name} is kept and not used: width and height of that "
        "grille are not known. Type the grille's size, and it counts."
    ]


def test_the_answer_has_them_in_its_numbers_free_list():
    """The answer is the same as without the reading, and its document holds the reason."""
    with_watts = without_watts(C)
    found = answer(with_watts, 1)
    trial = with_watts.trials[0]
    kept = tuple(r for r in trial.readings if r.quantity != "power")
    bare = answer(replace(with_watts, trials=(replace(trial, readings=kept),)), 1)
    assert found.airflow == bare.airflow
    assert found.not_used[0].to_dict() == {
        "trial": "tr1",
        "reading": next(r.id for r in trial.readings if r.quantity == "power"),
        "at": "unit",
        "quantity": "power",
        "text": said(with_watts)[0],
    }
    assert found.to_dict()["not_used"] == [found.not_used[0].to_dict()]
    assert bare.not_used == ()


def test_a_reading_taken_back_is_not_spoken_of():
    """Only readings in force are kept."""
    job = with_reading(A, "unit", 10.0, "temperature-rise", unit="degc")
    trial = job.trials[0]
    old = next(r for r in trial.readings if r.quantity == "temperature-rise")
    new = Reading("rd9", "supply", "static", "0.4", "inwc", inwc(0.4), corrects=old.id)
    job = replace(job, trials=(replace(trial, readings=(*trial.readings, new)),))
    assert said(job) == []
