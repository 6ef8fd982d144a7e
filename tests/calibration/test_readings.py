"""What each kind of reading, condition and boundary does to the answer."""

import re
from dataclasses import replace

import numpy as np
import pytest

from inchwater.calibration import calibrate
from inchwater.calibration.priors import Prior
from inchwater.errors import OutsideTableError, UnknownNameError
from inchwater.forecast import predict
from inchwater.network import compile_network, solve
from inchwater.survey import Change
from inchwater.units import from_si
from tests.network.surveys import AIRFLOW, PSC, attic, basement, job, reading, seen, trial

STATICS = {"before_filter": 0.12, "return": 0.30, "supply": 0.30}


def calibrated(survey, *trials, size=300, **more):
    return calibrate(job(survey, *trials, **more), 3, size=size)


def airflow(posterior, **condition):
    return predict(posterior, **condition).estimate("airflow")


def width(estimate):
    return estimate.high - estimate.low


# --- a wild reading ----------------------------------------------------------------------------


@pytest.mark.parametrize("wild", [0.6, 1.4])
def test_a_wild_reading_does_not_drag_the_answer(wild):
    """One static far off moves the airflow by less than 4 % and shows as a surprise."""
    good = calibrated(attic(), trial(**STATICS))
    bad = calibrated(attic(), trial(**{**STATICS, "before_filter": wild}))
    assert airflow(bad).value == pytest.approx(airflow(good).value, rel=0.04)
    surprises = {r.at: abs(r.surprise) for r in bad.residuals}
    assert surprises["before-filter"] > 5.0
    assert max(surprises["return"], surprises["supply"]) < 2.0
    assert max(abs(r.surprise) for r in good.residuals) < 2.0


def test_readings_that_no_house_can_show_are_answered_with_surprise():
    """Statics that no part could make: the answer stands on the rest, the reading surprises."""
    wild = trial(**{"return": 2.478}, supply=0.148, power=679)
    found = calibrated(attic(PSC, "high", "psc"), wild)
    assert max(abs(r.surprise) for r in found.residuals) > 6.0
    assert np.isfinite(airflow(found).value)


def test_a_correction_replaces_what_it_corrects():
    """A wild reading that was corrected leaves no trace."""
    good = calibrated(attic(), trial(**STATICS))
    first = trial(**{**STATICS, "before_filter": 1.4})
    again = replace(reading("again", "before-filter", 0.12), corrects="t1-before_filter")
    found = calibrated(attic(), replace(first, readings=(*first.readings, again)))
    # Read in another order the samples are others, as many as before.
    assert airflow(found).value == pytest.approx(airflow(good).value, rel=0.01)
    assert width(airflow(found)) == pytest.approx(width(airflow(good)), rel=0.15)
    assert "t1-before_filter" not in {r.reading for r in found.residuals}


# --- the table's boundary and tap --------------------------------------------------------------


def test_an_unknown_boundary_is_answered_for_each_possibility():
    """A table that holds the filter sees less external static, so its airflow is higher.

    Published packaged-unit tables hold coil and filter, split units' the dry coil (read).
    """
    unknown = attic(includes=None)
    coil, both = (
        calibrate(job(unknown, trial(**STATICS)), 3, frozenset(held), size=300)
        for held in (["coil-dry"], ["coil-dry", "filter"])
    )
    with_coil, with_both = predict(coil), predict(both)
    assert with_both.estimate("tesp").value < with_coil.estimate("tesp").value - 25.0
    assert with_both.estimate("airflow").value > 1.03 * with_coil.estimate("airflow").value
    # Said in the survey, it is not asked again.
    said = calibrated(attic(), trial(**STATICS))
    assert airflow(said) == with_coil.estimate("airflow")


def four_ton(tap=None):
    survey = attic(AIRFLOW, tap, "constant-airflow")
    unit = replace(survey.unit, capacity=seen(4, "ton"))
    return replace(survey, unit=unit)


def true_readings(survey, names, condition):
    """The readings of a house that stands at the middle of its prior."""
    network = compile_network(survey, condition)
    prior = Prior.of(network.parameters)
    s = solve(network, prior.values({n: np.zeros(1) for n in prior.latents}))
    statics = {n: from_si(float(s.reads[n.replace("_", "-")][0]), "inwc") for n in names}
    return {n: round(abs(p), 3) for n, p in statics.items()}, round(float(s.power[0]))


def odds_of_setting(posterior, index):
    """Odds that the tap nearest to the sampled place is the one at ``index`` of the table."""
    network = compile_network(posterior.job.survey, {"call": "cooling"})
    prior = Prior.of(network.parameters)
    place = prior.values(posterior.latents(prior))["unit:tap"]
    nearest = np.rint(place * 3).astype(int)
    return float(posterior.weights[nearest == index].sum())


def test_watts_tell_the_setting_of_a_constant_airflow_blower():
    """Of four settings the right one has odds above 3 in 4 with watts, and not without.

    Statics cannot show a blower that holds its airflow; watts rise about 0.03 W per cfm and 0.1
    in. w.c. and differ by setting (read in two published tables).  The table is invented.
    """
    statics, watts = true_readings(four_ton("1200"), ("return", "supply"), {"call": "cooling"})
    without = calibrated(four_ton(), trial(**statics))
    with_watts = calibrated(four_ton(), trial(**statics, power=watts))
    assert odds_of_setting(with_watts, 2) > 0.75
    assert odds_of_setting(without, 2) < 0.7
    assert width(airflow(with_watts)) < 0.75 * width(airflow(without))
    found = airflow(with_watts)
    assert found.low < 1195 * 4.719474e-4 < found.high


def test_an_unknown_tap_is_refused():
    """A condition that names a tap that is not in the table says which there are."""
    with pytest.raises(UnknownNameError) as caught:
        calibrated(attic(), trial(condition={"tap": "9"}, **STATICS))
    assert str(caught.value) == "tap: '9' came; the table has taps 5, 4, 3."


def bare(survey):
    """The survey without what is known of ducts and filter."""
    return replace(survey, filters=None, returns=None, supply=None)


def test_readings_far_beyond_the_table_are_refused():
    """More than 0.1 in. w.c. past the last column no airflow is invented."""
    with pytest.raises(OutsideTableError) as caught:
        calibrated(bare(attic()), trial(**{"return": 0.75, "supply": 0.75}))
    text = str(caught.value)
    assert re.fullmatch(
        r"table: 1\.\d\d in\. w\.c\. \(\d+ Pa\) on the table's own boundary came; what is known of "
        r"this tap's table ends at 1\.00 in\. w\.c\. \(249 Pa\)\. Check both readings and the tap, "
        r"or type the table's further columns; beyond its last one a blower is not to be run\.",
        text,
    ), text


def test_a_crushed_duct_is_believed_before_a_broken_gauge():
    """Supply static twice what the runs explain: the ducts are worse than described.

    A reading twenty sigmas off is less likely than ducts three sigmas off; a climb that starts from
    the survey alone would let the reading go.
    """
    found = calibrated(attic(), trial(**{"return": 0.30, "supply": 0.60}))
    assert max(abs(r.surprise) for r in found.residuals) < 2.0
    tesp = predict(found).estimate("tesp")
    assert from_si(tesp.low, "inwc") < 0.90 < from_si(tesp.high, "inwc")


# --- voltage, water, filter --------------------------------------------------------------------


def test_low_voltage_lowers_a_psc_s_airflow():
    """208 V on a 230 V table: 0.94 of the airflow for PSC (memory), nothing for others."""
    psc = bare(attic(PSC, "high", "psc"))
    nominal = replace(psc, unit=replace(psc.unit, nominal_volts=seen(230, "v")))
    full = airflow(calibrated(nominal, trial(**STATICS, voltage=230))).value
    low = airflow(calibrated(nominal, trial(**STATICS, voltage=208))).value
    assert 0.925 < low / full < 0.965
    held = [
        airflow(calibrated(bare(attic()), trial(**STATICS, voltage=v))).value for v in (230, 208)
    ]
    assert held[1] == pytest.approx(held[0], rel=0.005)


def test_a_wet_coil_is_less_air_at_the_same_statics():
    """A table with a dry coil inside: water on it counts as external, unsaid lies between."""
    wet, dry, unsaid = (
        airflow(calibrated(attic(), trial(condition=c, **STATICS))).value
        for c in ({"coil": "wet"}, {"coil": "dry"}, {"tap": "4"})
    )
    # By volume through the wheel: cold air has more mass in it.
    wet /= compile_network(attic(), {"coil": "wet"}).fan.volume
    assert wet < unsaid < dry
    # Water adds about a third to a coil's drop (wet is 1.16² of dry here), and no more to airflow
    # than the table's slope makes of that.
    assert 0.92 < wet / dry < 0.995


def test_a_call_says_whether_the_coil_is_wet():
    """Cooling wets the coil, heating and fan leave it dry."""
    wet, dry = (
        calibrated(attic(), trial(condition=c, **STATICS))
        for c in ({"coil": "wet"}, {"coil": "dry"})
    )
    assert airflow(calibrated(attic(), trial(condition={"call": "cooling"}, **STATICS))) == airflow(
        wet
    )
    assert airflow(calibrated(attic(), trial(condition={"call": "fan"}, **STATICS))) == airflow(dry)


FILTER_OUT = {"call": "cooling", "filter:f1": "out"}


def test_a_trial_without_the_filter_is_no_baseline():
    """Read with the filter out, the forecast is for the filter in, with its drop and less air."""
    found = calibrated(basement(), trial(condition=FILTER_OUT, **{"return": 0.15}, supply=0.1))
    base = predict(found)
    out = predict(found, condition=FILTER_OUT)
    assert "filter:f1" in base.solution.drop
    assert "filter:f1" not in out.solution.drop
    assert np.all(base.solution.airflow < out.solution.airflow)


def test_two_trials_tell_the_filter_s_drop():
    """Filter in and filter out on one house: its drop is known better than from one trial."""
    inside, _ = true_readings(basement(), ("return", "before_coil", "supply"), {"call": "cooling"})
    out, _ = true_readings(basement(), ("return", "before_coil", "supply"), FILTER_OUT)
    one = calibrated(basement(), trial(**inside), size=500)
    two = calibrated(
        basement(), trial(**inside), trial("t2", condition=FILTER_OUT, **out), size=500
    )
    drop = [predict(p).estimate("drop:filter:f1") for p in (one, two)]
    assert width(drop[1]) < 0.8 * width(drop[0])


# --- friction and fittings apart ---------------------------------------------------------------

TIGHTEN = Change("c1", "tighten-run", ("r3",))


def test_tightening_resets_friction_alone():
    """A run pulled tight has new friction and compression; its fittings are the ones it had."""
    found = calibrated(attic(), trial(**STATICS))
    after = predict(found, [TIGHTEN])
    new = {p.name for p in after.network.parameters} - set(found.names)
    assert new == {"run:r3:friction@c1", "run:r3:compression:friction@c1"}
    prior = Prior.of(after.network.parameters)
    latents = found.latents(prior)
    for kept in ("run:r3:fittings", "run:r3:fittings:boot", "run:r3:register", "run:r2:friction"):
        assert np.array_equal(latents[kept], found.samples[kept])
    assert "run:r3:friction" not in latents


def test_a_trial_after_the_change_teaches_both():
    """Calibrated on trials before and after, the run has two frictions and one set of fittings."""
    found = calibrated(
        attic(),
        trial(**STATICS),
        trial("t2", after=("c1",), **{"return": 0.31}, supply=0.29),
        changes=(TIGHTEN,),
    )
    names = [name for name in found.names if name.startswith("run:r3")]
    assert sorted(names) == [
        "run:r3:as-hung",
        "run:r3:compression:friction",
        "run:r3:compression:friction@c1",
        "run:r3:fittings",
        "run:r3:fittings:boot",
        "run:r3:friction",
        "run:r3:friction@c1",
        "run:r3:register",
    ]
    # The latest trial's changes are in force, and an earlier state can be asked for.
    now, before = predict(found), predict(found, after=())
    assert now.estimate("flow:r3").value > before.estimate("flow:r3").value
