"""``answer(job, rng) -> Answer``: everything that one job's readings say, put together once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from inchwater import criteria, findings, planning
from inchwater.answer import sentences
from inchwater.answer.curves import curves
from inchwater.answer.path import path
from inchwater.answer.possibilities import (
    alternatives,
    doubts_of_refused,
    fitted,
    over_all,
    possible,
)
from inchwater.answer.tree import tree
from inchwater.answer.types import Answer, RunFlow
from inchwater.errors import OutsideTableError
from inchwater.findings import Caution
from inchwater.planning import NextAct
from inchwater.quantity import Estimate, Said
from inchwater.survey import MEASURING, Job, Survey, standing_trial

if TYPE_CHECKING:
    from inchwater.calibration import Posterior
    from inchwater.forecast import Prediction

# Samples on which worth and limit are evaluated: enough for a 90 % range, few enough to be quick.
_THINNED = 200


def answer(
    job: Job,
    rng: np.random.Generator | int,
    posterior: Posterior | Sequence[Posterior] | None = None,
) -> Answer:
    """The answer to a job: both flows, why, what is missing, what to do next.

    Parameters
    ----------
    job : Job
        Survey, changes, trials, targets.
    rng : Generator or int
        A generator, of which one seed is drawn, or that seed itself.
    posterior : Posterior or sequence of Posterior, optional
        Stored calibrations of this job; what is missing is calibrated.

    Returns
    -------
    Answer
        Where the table's boundary is unknown, the main numbers range over the possibilities, and
        ``alternatives`` holds each with its own.

    Raises
    ------
    InputError
        If there is no reading, or one has no place in this system.
    OutsideTableError
        If the readings lie more than 0.1 in. w.c. beyond the blower table, whatever it includes.
    """
    from inchwater.forecast import predict

    seed = rng if isinstance(rng, int) else int(rng.integers(2**53))
    try:
        fits = fitted(job, seed, posterior)
    except OutsideTableError as error:
        raise findings.with_slip(error, job) from error
    main = fits.posteriors[0]
    found = predict(main)
    survey = found.survey
    goal = criteria.goal(survey, job.targets)
    few = main.thinned(min(_THINNED, main.size))
    few_found = predict(few)

    each = alternatives(job, fits, goal) if possible(job) else ()
    airflow = over_all(found.estimate("airflow"), [one.airflow for one in each])
    delivered = over_all(found.estimate("delivered"), [one.delivered for one in each])
    tesp = over_all(found.estimate("tesp"), [one.tesp for one in each])
    per_ton = over_all(found.estimate("airflow_per_ton"), [one.airflow_per_ton for one in each])
    return_static = magnitude(found, "return")
    supply_static = magnitude(found, found.solution.outlet)
    limit = findings.limit(few, few_found, survey, goal)
    plate, plate_how = criteria.plate(survey)
    checked = findings.check(job, main.includes, _middles(main))
    doubted = findings.doubts(job, found, main, checked)
    ranked = _ranked(main)
    act = planning.next_act(job, found, doubted, ranked)
    restrictions = findings.worth(few, few_found, survey)
    call = found.network.state.get("call")
    other_call = None if criteria.for_cooling(survey, call) else call
    arrives: tuple[Said, ...]
    if len(each) > 1:
        sentence = sentences.between_possibilities(airflow, goal)
        arrives = sentences.reach_the_rooms(delivered, each[0].label)
    else:
        sentence = sentences.leaves_the_blower(airflow, goal, other_call)
        arrives = (sentences.reaches_the_rooms(delivered),)
    return Answer(
        job_id=job.id,
        job_hash=main.job_hash,
        engine_version=main.engine_version,
        seed=main.seed,
        sentence=sentence,
        says=sentences.lead(
            arrives,
            sentences.sides(return_static, supply_static, found.solution.outlet),
            sentences.against_plate(tesp, plate, plate_how, found.solution.inlet),
            limit if other_call is None else None,
            findings.setting(job, found, goal) if other_call is None else None,
            restrictions,
        ),
        airflow=airflow,
        delivered=delivered,
        tesp=tesp,
        airflow_per_ton=per_ton,
        return_static=return_static,
        supply_static=supply_static,
        plate=plate,
        plate_how=plate_how,
        plate_share=(_share(return_static, plate), _share(supply_static, plate)),
        basis=sentences.basis(survey, found.estimate("airflow"), found.estimate("tesp")),
        goal=goal,
        path=path(found, survey, as_read(job)),
        curves=curves(found, survey),
        budget=findings.budget(found, survey),
        worth=restrictions,
        runs=run_flows(found, survey),
        criteria=criteria.judge(found, survey, job.targets),
        limit=limit,
        doubts=(*doubted, *doubts_of_refused(fits)),
        unseen=findings.unseen(job, checked),
        cautions=_cautions(survey, act),
        next=act,
        alternatives=each,
        tree=tree(found, survey),
        outside=findings.outside(found, survey),
        not_used=findings.not_used(job, main.includes),
        next_readings=ranked,
    )


def _middles(posterior: Posterior) -> dict[str, float]:
    """The mean of each latent. [-]"""
    return {name: float(posterior.weights @ one) for name, one in posterior.samples.items()}


def _ranked(posterior: Posterior) -> tuple[planning.ReadingValue, ...]:
    """The readings by what they are worth; none where the system cannot run in a cooling call."""
    try:
        return planning.next_reading(posterior)
    except OutsideTableError:
        # It was read in another call, and at the cooling tap its table ends: nothing to weigh.
        return ()


def magnitude(prediction: Prediction, point: str) -> Estimate:
    """What a gauge shows at a test point, without its sign. [Pa]"""
    reads = np.abs(np.asarray(prediction.solution.reads[point], dtype=float))
    return Estimate.of(reads, np.asarray(prediction.weights, dtype=float), "pressure")


def difference(
    after: NDArray[np.float64], before: NDArray[np.float64], weights: NDArray[np.float64], kind: str
) -> Estimate:
    """The change of a quantity, sample by sample, so that what both share cancels. [SI]"""
    return Estimate.of(np.asarray(after - before, dtype=float), weights, kind)


def run_flows(prediction: Prediction, survey: Survey) -> tuple[RunFlow, ...]:
    """What each run delivers, in the survey's order; empty where no run is known."""
    if survey.supply is None:
        return ()
    weights = np.asarray(prediction.weights, dtype=float)
    flows = prediction.solution.flow
    return tuple(
        RunFlow(run.id, run.room, Estimate.of(np.asarray(flows[run.id]), weights, "airflow"))
        for run in survey.supply.runs
        if run.id in flows
    )


def as_read(job: Job) -> dict[str, float]:
    """The statics of the trial that the system stands in, by test point. [Pa]"""
    trial = standing_trial(job)
    if trial is None or any(state in MEASURING for state in trial.condition.values()):
        return {}
    return {r.at: r.value for r in trial.in_force if r.quantity == "static"}


def _share(static: Estimate, plate: float) -> Estimate:
    return Estimate(static.value / plate, static.low / plate, static.high / plate, "ratio")


def _cautions(survey: Survey, act: NextAct) -> tuple[Caution, ...]:
    """The cautions of the next act; a system that is read at all has those of a reading too."""
    if act.kind == "reading" and act.field != "unit":
        return findings.cautions_of(survey, ("reading", "test-point"))
    if act.field in ("unit.tap", "unit.wheel"):
        return findings.cautions_of(survey, ("reading", "cabinet"))
    return findings.cautions_for(survey, "reading", watts=act.field == "unit")
