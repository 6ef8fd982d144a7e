"""What every calibration owes: worse gauges widen, true facts and further trials narrow."""

from dataclasses import replace

import numpy as np
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from inchwater.calibration import calibrate
from inchwater.calibration.priors import Prior
from inchwater.forecast import predict
from inchwater.network import compile_network, solve
from inchwater.rehearsal import demos, truths
from inchwater.survey import Instrument
from inchwater.units import from_si, to_si
from tests.network.surveys import attic, basement, job, trial

# A failing example is not made smaller: each costs two calibrations.
FEW = settings(max_examples=5, deadline=None, phases=[Phase.explicit, Phase.generate])
QUANTITIES = ("airflow", "delivered", "tesp", "static:return", "static:supply")


def widths(posterior, names=QUANTITIES):
    found = predict(posterior)
    return {name: (e := found.estimate(name)).high - e.low for name in names}


@FEW
@given(
    st.sampled_from(["attic", "basement"]),
    st.floats(0.02, 0.05),
    st.floats(0.01, 0.03),
    st.integers(0, 10**6),
)
def test_twice_the_instrument_s_error_widens_every_range(house, gain, zero, seed):
    """With twice the gain's and zero's error no range is narrower, and what was read is wider.

    Same seed, same house, readings in its middle; 6 % are left to the draw of 800 samples.
    """
    survey = attic() if house == "attic" else basement()
    read = middle(survey, ("return", "supply"), {"call": "cooling"})
    start = job(survey, trial(**read))
    readings = tuple(replace(r, instrument="gauge") for r in start.trials[0].readings)
    start = replace(start, trials=(replace(start.trials[0], readings=readings),))
    once, twice = (
        widths(
            calibrate(
                replace(
                    start,
                    instruments=(Instrument("gauge", gain=k * gain, zero=k * to_si(zero, "inwc")),),
                ),
                seed,
            )
        )
        for k in (1.0, 2.0)
    )
    for name in QUANTITIES:
        assert twice[name] > 0.94 * once[name], name
    for name in ("static:return", "static:supply"):
        assert twice[name] > 1.1 * once[name], name


def middle(survey, points, condition):
    """Statics [in. w.c.] of a house that stands at the middle of its prior."""
    network = compile_network(survey, condition)
    prior = Prior.of(network.parameters)
    s = solve(network, prior.values({n: np.zeros(1) for n in prior.latents}))
    return {
        p: round(abs(from_si(float(s.reads[p.replace("_", "-")][0]), "inwc")), 3) for p in points
    }


def test_true_facts_narrow():
    """On a house whose truth is known: table, then ducts, each narrow the airflow's range.

    The truth is the rehearsal's, which shares no physics with the model.
    """
    full = demos()["a"]
    survey = full.survey
    bare = replace(survey, filters=None, returns=None, supply=None)
    steps = [
        replace(bare, unit=replace(bare.unit, table=None, tap=None, motor=None)),
        replace(bare, unit=replace(bare.unit)),
        survey,
    ]
    true = truths()["a"]["trials"]["tr1"]["airflow_m3s"]
    found = []
    for step in steps:
        plain = tuple(
            replace(t, condition={k: v for k, v in t.condition.items() if k != "tap"})
            if step.unit.table is None
            else t
            for t in full.trials
        )
        posterior = calibrate(replace(full, survey=step, trials=plain), 3)
        found.append(predict(posterior).estimate("airflow"))
    for estimate in found:
        assert estimate.low < true < estimate.high
    span = [e.high - e.low for e in found]
    assert span[1] < 0.7 * span[0]
    assert span[2] < span[1]


def test_runs_narrow_what_each_room_gets():
    """Once runs are described, delivered air is known no worse, and each run's for the first."""
    full = demos()["a"]
    lumped = replace(full, survey=replace(full.survey, supply=None))
    one, two = calibrate(lumped, 3), calibrate(full, 3)
    assert widths(two)["delivered"] < 1.02 * widths(one)["delivered"]
    true = truths()["a"]["trials"]["tr1"]["runs_m3s"]
    found = predict(two)
    inside = [
        found.estimate(f"flow:{run}").low < flow < found.estimate(f"flow:{run}").high
        for run, flow in true.items()
    ]
    assert sum(inside) >= len(inside) - 1


def test_two_trials_narrow_more_than_one():
    """The filter out for a trial: airflow, statics and above all the filter are known better."""
    full = demos()["b"]
    one = calibrate(replace(full, trials=full.trials[:1]), 3)
    two = calibrate(full, 3)
    condition = dict(full.trials[0].condition)
    names = ("airflow", "tesp", "static:return", "static:before-filter", "drop:filter:f1")
    first, second = (
        {name: (e := predict(p, condition=condition).estimate(name)).high - e.low for name in names}
        for p in (one, two)
    )
    for name in names:
        assert second[name] < 1.06 * first[name], name
    assert sum(second[n] / first[n] for n in names) < 0.97 * len(names)


def test_the_same_trial_twice_is_known_better():
    """Reading every static a second time narrows what is read."""
    read = middle(attic(), ("before_filter", "return", "supply"), {"call": "cooling"})
    one = widths(calibrate(job(attic(), trial(**read)), 3))
    two = widths(calibrate(job(attic(), trial(**read), trial("t2", **read)), 3))
    for name in ("tesp", "static:return", "static:supply"):
        assert two[name] < 0.92 * one[name], name
