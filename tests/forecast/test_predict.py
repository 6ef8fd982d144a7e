"""What a change does: the forecast starts from the posterior and moves in the trade's direction."""

from dataclasses import replace

import numpy as np
import pytest

from inchwater.calibration import calibrate
from inchwater.errors import InputError, OutsideTableError, UnknownNameError
from inchwater.forecast import ideal, predict, standing, without
from inchwater.quantity import Estimate
from inchwater.survey import Change, minimal_job
from inchwater.units import to_si
from tests.network.surveys import TORQUE, attic, basement, job, seen, trial

STATICS = {"before_filter": 0.12, "return": 0.30, "supply": 0.30}


@pytest.fixture(scope="module")
def found():
    return calibrate(job(attic(), trial(**STATICS)), 5, size=400)


@pytest.fixture(scope="module")
def base(found):
    return predict(found)


def change(kind, /, *targets, **to):
    return Change("c1", kind, targets, to)


INCH, FOOT = "in", "ft"
# Each change, what it has to raise in the middle, and what it has to lower.
CHANGES = {
    "filter": (
        change(
            "filter", "f1", grade="media-4in-merv8", width=seen(25, INCH), height=seen(20, INCH)
        ),
        ("airflow", "delivered", "flow:r1"),
        ("drop:filter:f1",),
    ),
    "grille": (
        change("grille", "g1", width=seen(36, INCH), height=seen(24, INCH)),
        ("airflow", "delivered"),
        ("drop:return:g1:grille",),
    ),
    "add-return": (
        change(
            "add-return",
            id="g2",
            width=seen(20, INCH),
            height=seen(20, INCH),
            diameter=seen(14, INCH),
            length=seen(10, FOOT),
            material="flex",
        ),
        ("airflow", "delivered", "static:return"),
        ("drop:return:g1:duct",),
    ),
    "enlarge-run": (
        change("enlarge-run", "r3", diameter=seen(9, INCH)),
        ("airflow", "delivered", "flow:r3"),
        ("flow:r1", "static:supply"),
    ),
    "tighten-run": (
        change("tighten-run", "r3"),
        ("airflow", "delivered", "flow:r3"),
        ("flow:r1", "static:supply"),
    ),
    "add-run": (
        change("add-run", id="r9", diameter=seen(8, INCH), length=seen(15, FOOT), material="flex"),
        ("airflow", "delivered"),
        ("flow:r1", "flow:r3", "static:supply"),
    ),
    "fitting": (
        Change("c1", "fitting", ("r3",), {"from": "boot-angle", "into": "boot-straight"}),
        ("airflow", "flow:r3"),
        ("flow:r1",),
    ),
    "register": (
        change("register", "r3", width=seen(14, INCH), height=seen(8, INCH), kind="register-bar"),
        ("airflow", "flow:r3"),
        ("flow:r1", "drop:register:r3"),
    ),
    "tap up": (
        change("tap", "unit", tap="5"),
        ("airflow", "delivered", "tesp", "flow:r3"),
        ("static:return",),
    ),
    "tap down": (
        change("tap", "unit", tap="3"),
        ("static:return",),
        ("airflow", "tesp", "flow:r3"),
    ),
}


def test_as_found_is_the_posterior_s_own_reading(found, base):
    """Without changes the forecast shows each reading as the calibrated system does."""
    for residual in found.residuals:
        samples, kind = base.samples(f"static:{residual.at}")
        assert Estimate.of(samples, found.weights, kind) == residual.predicted


@pytest.mark.parametrize("name", CHANGES)
def test_every_change_moves_the_air_in_its_direction(found, base, name):
    """In the middle of the samples each change raises and lowers what it should."""
    made, raised, lowered = CHANGES[name]
    after = predict(found, [made])
    for quantity in raised:
        assert after.estimate(quantity).value > base.estimate(quantity).value, quantity
    for quantity in lowered:
        assert after.estimate(quantity).value < base.estimate(quantity).value, quantity


@pytest.mark.parametrize("name", ["add-return", "add-run"])
def test_a_change_that_only_adds_never_harms(found, base, name):
    """With a return or a run more, the blower moves more in every sample."""
    after = predict(found, [CHANGES[name][0]])
    assert np.all(after.solution.airflow > base.solution.airflow)


def test_a_higher_tap_is_almost_certain(found, base):
    """Taps scatter by 2 % each; the table's 5 % between two of them holds nine times in ten."""
    after = predict(found, [CHANGES["tap up"][0]])
    odds = after.odds(after.solution.airflow > base.solution.airflow)
    assert 0.9 < odds <= 1.0


def test_the_added_run_gets_air(found):
    """A run that was added appears among the runs, with an airflow of its size."""
    after = predict(found, [CHANGES["add-run"][0]])
    flow = after.estimate("flow:r9")
    assert (
        0.5 * after.estimate("flow:r1").value < flow.value < 2.0 * after.estimate("flow:r1").value
    )


def test_the_same_question_is_answered_the_same(found):
    """Asked twice, a change meets the same scatter of the work."""
    one, two = (predict(found, [CHANGES["enlarge-run"][0]]) for _ in range(2))
    assert one.estimate("airflow") == two.estimate("airflow")


def test_new_work_is_not_known_exactly(found):
    """New work has its own scatter: the enlarged run's gain is a range, not a number."""
    base, after = predict(found), predict(found, [CHANGES["enlarge-run"][0]])
    gain, kind = after.samples("flow:r3")[0] - base.samples("flow:r3")[0], "airflow"
    estimate = Estimate.of(gain, found.weights, kind)
    assert estimate.low > 0.0
    assert estimate.high - estimate.low > 0.1 * estimate.value


def test_changes_add_up_in_order(found, base):
    """Filter and run together gain more than either alone."""
    made = [CHANGES["filter"][0], Change("c2", "enlarge-run", ("r3",), {"diameter": seen(9, INCH)})]
    both = predict(found, made).estimate("airflow").value
    for one in made:
        assert (
            both > predict(found, [one]).estimate("airflow").value > base.estimate("airflow").value
        )


def test_a_tap_set_for_good_outranks_the_trial_s():
    """The tap that ran during the trial does not survive a change of tap."""
    found = calibrate(job(attic(), trial(condition={"tap": "5"}, **STATICS)), 5, size=100)
    assert standing(found)[1]["tap"] == "5"
    survey, state = standing(found, [change("tap", "unit", tap="3")])
    assert survey.unit.tap == "3"
    assert "tap" not in state
    assert predict(found, [change("tap", "unit", tap="3")]).network.fan.taps == ("3",)


def test_what_was_done_for_measuring_is_undone():
    """A run pulled open, a register shut or a filter out are no baseline of a forecast."""
    condition = {
        "call": "cooling",
        "run:r1": "pulled-open",
        "register:r2": "closed",
        "filter:f1": "out",
    }
    found = calibrate(job(attic(), trial(condition=condition, **STATICS)), 5, size=100)
    assert standing(found)[1] == {"call": "cooling"}
    assert predict(found).network.state == {"call": "cooling"}


def test_odds_are_the_weight_of_what_holds(found, base):
    """Odds are between 0 and 1, and those of a thing and of its opposite sum to 1."""
    flow, _ = base.samples("airflow")
    above = base.odds(flow > base.estimate("airflow").low)
    assert above == pytest.approx(0.95, abs=0.01)
    assert above + base.odds(flow <= base.estimate("airflow").low) == pytest.approx(1.0)


# --- bounds ------------------------------------------------------------------------------------


def side_keys(prediction, side):
    edges = prediction.network.edges
    return [e.key for e in edges if e.side == side and not e.key.endswith(":leak")]


@pytest.mark.parametrize("side", ["return", "supply"])
def test_what_could_be_is_bounded(found, base, side):
    """As found, a side as it should be, a side without resistance: in every sample in order."""
    keys = side_keys(base, side)
    better, free = ideal(found, keys), without(found, side)
    least, middle, most = (p.solution.airflow for p in (base, better, free))
    assert np.all(least <= middle * (1 + 1e-6))
    assert np.all(middle <= most * (1 + 1e-6))
    assert np.median(most / least) > 1.005
    # Rooms too cannot get more than from ducts that resist nothing.
    assert np.all(better.solution.delivered <= free.solution.delivered * (1 + 1e-6))


def test_both_sides_bound_either(found):
    """Ideal parts of both sides give at least what those of one side do."""
    base = predict(found)
    keys = [side_keys(base, side) for side in ("return", "supply")]
    both = ideal(found, keys[0] + keys[1]).solution.airflow
    for some in keys:
        assert np.all(both >= ideal(found, some).solution.airflow * (1 - 1e-6))


def test_nothing_ideal_is_as_found(found, base):
    """With no part named nothing changes."""
    assert ideal(found, []).solution.airflow == pytest.approx(base.solution.airflow, rel=1e-6)


def test_a_side_of_a_furnace_keeps_its_coil():
    """Without supply ducts the cased coil is still there, and so is what it drops."""
    found = calibrate(
        job(basement(), trial(**{"return": 0.4}, before_coil=0.32, supply=0.08)), 5, size=100
    )
    free = without(found, "supply")
    coil = free.estimate("drop:coil:coil").value
    assert coil > 0.9 * predict(found).estimate("drop:coil:coil").value
    assert abs(free.solution.total["supply"]).max() < 0.05


# --- refusals ----------------------------------------------------------------------------------


def test_a_tap_beyond_its_table_is_refused():
    """A change that would drive the blower far beyond its table gives no number."""
    taps = {"usual": TORQUE["4"], "strong": [(2600, 900), (2590, 900)]}
    found = calibrate(job(attic(taps, "usual"), trial(**STATICS)), 5, size=100)
    with pytest.raises(OutsideTableError) as caught:
        predict(found, [change("tap", "unit", tap="strong")])
    assert caught.value.where == "table"
    assert caught.value.came.endswith(" Pa) on the table's own boundary")
    assert str(caught.value) == (
        f"table: {caught.value.came} came; what is known of this tap's table ends at 0.20 in. w.c. "
        "(50 Pa). Check both readings and the tap, or type the table's further columns; beyond its "
        "last one a blower is not to be run."
    )


def test_an_unknown_part_is_refused(found):
    """A change of a run that is not there lists those that are."""
    with pytest.raises(UnknownNameError) as caught:
        predict(found, [change("tighten-run", "r99")])
    assert str(caught.value) == (
        "changes.c1.targets: 'r99' came; tighten-run can be done to r1, r2, r3, r4, r5, r6."
    )


def test_a_condition_of_an_unknown_part_is_refused(found):
    """A condition that names a run that is not there lists those that are."""
    with pytest.raises(UnknownNameError) as caught:
        predict(found, condition={"run:r99": "pulled-open"})
    assert str(caught.value) == (
        "condition.run:r99: 'r99' came; this survey has r1, r2, r3, r4, r5, r6. "
        "Add the part to the survey first."
    )


def test_a_change_without_what_it_needs_is_refused():
    """Tightening a run of a house whose runs nobody described says what to add first."""
    bare = replace(attic(), supply=None)
    found = calibrate(job(bare, trial(**STATICS)), 5, size=50)
    with pytest.raises(InputError) as caught:
        predict(found, [change("tighten-run", "r1")])
    assert str(caught.value) == (
        "survey.supply: a survey without runs came; a change of kind tighten-run needs the runs "
        "that exist. Add the runs first; one line such as 'seven 6-inch, about 25 ft' is enough."
    )


def test_three_numbers_are_enough_to_ask_for_a_filter_or_a_return():
    """Nobody has described filter or returns: both can be asked for, and each helps its side."""
    bare = minimal_job(
        capacity=to_si(2.5, "ton"),
        return_static=to_si(0.45, "inwc"),
        supply_static=to_si(0.20, "inwc"),
        kind="air-handler",
        supply_at="after-coil",
    )
    posterior = calibrate(bare, 5, size=400)
    now = predict(posterior)
    size = {"width": seen(20, INCH), "height": seen(25, INCH)}
    filter_ = predict(posterior, [change("filter", "filter", grade="media-4in-merv8", **size)])
    added = predict(
        posterior,
        [change("add-return", id="g2", diameter=seen(14, INCH), length=seen(10, FOOT), **size)],
    )
    for after in (filter_, added):
        assert after.estimate("airflow").value > now.estimate("airflow").value
        assert after.estimate("static:return").value > now.estimate("static:return").value
    # The return that was there before keeps its own resistance.
    share = (
        added.solution.part_flow["return:return:duct"]
        / now.solution.part_flow["return:return:duct"]
    )
    square = added.solution.drop["return:return:duct"] / now.solution.drop["return:return:duct"]
    assert square == pytest.approx(share**1.9, rel=0.05)


def test_measured_volts_hold_in_every_condition():
    """The voltage under load is the house's: a condition that is asked about does not lose it."""
    low = calibrate(job(attic(), trial(**STATICS, voltage=205.0)), 5, size=200)
    _, state = standing(low, condition={"call": "heating"})
    assert state == {"call": "heating", "volts": "205"}


def test_volts_hold_after_work_too():
    """A trial after a step in which nobody read them is of the same house."""
    change = Change("c1", "tighten-run", ("r1",))
    first = trial(**STATICS, voltage=205.0)
    after = trial("t2", ("c1",), **STATICS)
    low = calibrate(job(attic(), first, after, changes=(change,)), 5, size=200)
    assert standing(low)[1] == {"call": "cooling", "volts": "205"}
    assert any(name.startswith("unit:volts:205") for name in low.names)
    again = trial("t2", ("c1",), **STATICS, voltage=231.0)
    risen = calibrate(job(attic(), first, again, changes=(change,)), 5, size=200)
    assert standing(risen)[1]["volts"] == "231"
