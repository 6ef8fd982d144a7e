"""Somebody calls again: what that tells of the state they called about, against exact odds."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest

import inchwater
from inchwater import planning
from inchwater.errors import OutsideTableError
from inchwater.forecast import predict
from inchwater.parts.coefficients import table
from inchwater.planning.called_again import called_again, last_called, not_enough, people_said
from inchwater.planning.wanted import Asked
from inchwater.survey import WorkRecord, job_from_dict, job_to_dict
from tests.planning.test_work_now import HUNG, RETURN, agreed, done, read_again

BOTH = (HUNG.id, RETURN.id)
WRONGLY = table("work", "inchwater.planning.data")["called_wrongly"].value


@dataclass(frozen=True)
class Air:
    """So much air in cooling and nothing else; a register that is too loud whatever is done."""

    low: float
    calls: tuple[str, ...] = ("cooling",)

    def asked(self, found):
        """Airflow, and a noise that is always missed."""
        air = found.then.solution.airflow
        return (
            (Asked("cooling:airflow", "airflow", self.low, np.inf), air),
            (Asked("cooling:noise:r1", "noise", -np.inf, 0.0), np.ones_like(air)),
        )


@pytest.fixture(scope="module")
def after():
    """The house with its flex hung and a new return, read again, calibrated."""
    job = read_again(done(agreed(HUNG, RETURN), HUNG, RETURN), HUNG, RETURN)
    return inchwater.calibrate(job, 1, size=600)


@pytest.fixture(scope="module")
def air(after):
    """Its airflow as it stands (sample,) [m3/s]."""
    return np.asarray(predict(after, (), after=BOTH).solution.airflow)


def called(posterior, *states, loud=None):
    """The posterior of the job with a call about each of these states, the last one the latest."""
    made = [WorkRecord(f"c{n}", "called-again", changes=one) for n, one in enumerate(states)]
    if loud is not None:
        made.append(WorkRecord("h1", "heard", changes=states[-1], loud=loud))
    return replace(posterior, job=replace(posterior.job, work=(*posterior.job.work, *made)))


def test_without_a_call_nothing_changes(after):
    """Not a sample, not a weight."""
    assert called_again(after) is after
    assert people_said(after) is after
    assert last_called(after.job) is None
    assert not_enough(after.job) is None


def test_a_call_weighs_what_falls_short_by_bayes(after, air):
    """Four in ten had enough air: one of a hundred of them calls all the same, noise left aside."""
    low = np.quantile(air, 0.6)
    enough = after.weights[air >= low].sum()
    found = called_again(called(after, BOTH), Air(low))
    expected = enough * WRONGLY / (enough * WRONGLY + 1.0 - enough)
    assert found.weights[air >= low].sum() == pytest.approx(expected, rel=1e-9)
    assert found.weights.sum() == pytest.approx(1.0)
    assert found.effective_size < after.effective_size
    assert found.samples is after.samples
    # Counted again it comes to the same but for those who call all the same.
    twice = called_again(found, Air(low))
    assert np.abs(twice.weights - found.weights).sum() < 2.0 * expected


def test_a_state_that_fell_short_once_is_not_forgotten(after, air):
    """A call about the house as found, and one about it with the work: both count."""
    first = np.asarray(predict(after, (), after=()).solution.airflow)
    low = np.quantile(first, 0.7)
    found = called_again(called(after, (), BOTH), Air(low))
    short = (first < low) & (air < low)
    assert 0 < short.sum() < len(short)
    share = after.weights * np.where(first >= low, WRONGLY, 1.0) * np.where(air >= low, WRONGLY, 1)
    assert found.weights == pytest.approx(share / share.sum(), rel=1e-9)


def test_a_call_that_hardly_a_sample_explains_teaches_nothing(after, air):
    """Then it is the model or what is wanted that is wrong, and the answer stays what it was."""
    low = np.sort(air)[3]
    asked = called(after, BOTH)
    assert called_again(asked, Air(low)) is asked


def test_who_finds_it_too_loud_need_miss_nothing_else(after, air):
    """The word about noise explains the call; where nothing is too loud it does not."""
    low = np.quantile(air, 0.6)
    run = after.job.survey.supply.runs[0].id
    loud = called(after, BOTH, loud=(f"register:{run}",))
    assert called_again(loud, Air(low)) is loud
    quiet = called(after, BOTH, loud=())
    assert called_again(quiet, Air(low)).weights[air >= low].sum() < 0.05


def test_a_state_that_cannot_be_forecast_is_left_out(after, monkeypatch):
    """Outside the table nobody can tell what was missed."""

    def outside(*args, **more):
        raise OutsideTableError(where="airflow", came="too much", right="inside the table")

    asked = called(after, BOTH)
    monkeypatch.setattr("inchwater.forecast.predict", outside)
    assert called_again(asked, Air(0.5)) is asked


def test_nobody_may_stop_about_what_they_called_for_and_offers_know_it(after):
    """Whatever the odds were: leaving it as it is fails, and what stands says why."""
    asked = called(after, BOTH)
    now = planning.work_now(asked)
    assert now.stop is None
    assert now.called_again.text().startswith("They called again: as it stands")
    assert now.to_dict()["called_again"] == now.called_again.text()
    assert now.odds <= planning.work_now(after).odds
    before = planning.options(after, most=1, size=200, effects=False).offers[0].odds
    then = planning.options(asked, most=1, size=200, effects=False).offers[0].odds
    assert then <= max(0.1, 0.1 * before)
    assert job_from_dict(job_to_dict(asked.job)) == asked.job


def test_a_call_is_of_the_state_that_it_was_about(after):
    """A step is taken back: nobody has called about what stands now."""
    job = called(after, BOTH).job
    assert last_called(job).changes == BOTH
    back = planning.recorded(job, WorkRecord("b9", "taken-back", changes=BOTH[1:]))
    assert last_called(back) is None
    assert not_enough(back) is None
