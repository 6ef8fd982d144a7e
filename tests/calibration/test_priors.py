"""What an unknown is worth before anything is read, and how samples are drawn where it is hard."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import beta, norm, uniform

from inchwater.calibration.observe import observe, spread
from inchwater.calibration.priors import Prior, noise, prior_row
from inchwater.calibration.priors import spread as prior_spread
from inchwater.calibration.tempered import tempered
from inchwater.errors import ConvergenceError, UnknownNameError
from inchwater.network.elements import Parameter
from inchwater.survey import How, Instrument
from inchwater.units import to_si
from tests.network.surveys import attic, job, reading, trial

Z = np.linspace(-2.5, 2.5, 11)


def value(parameter, z=Z):
    return Prior.of([parameter]).values({parameter.name: z})[parameter.name]


def test_a_lognormal_stands_on_its_median():
    """The middle of a multiplier is its median, one sigma is its factor."""
    got = value(Parameter("coil", "coil", sigma=0.3, median=1.2), np.array([0.0, 1.0, -1.0]))
    assert got == pytest.approx(1.2 * np.exp([0.0, 0.3, -0.3]))


def test_an_offset_is_normal_about_zero():
    """A test point's own error: 0.02 in. w.c. on the return side, 0.03 on the supply (proposed)."""
    for side, sigma in (("return", 0.02), ("supply", 0.03)):
        got = value(Parameter("port", f"port-offset-{side}"))
        assert got == pytest.approx(Z * to_si(sigma, "inwc"))


def test_a_compression_is_its_beta():
    """The compression's quantiles are SciPy's Beta's, cut off where flex's correction ends."""
    a, b = 1.8, 14.0
    got = value(Parameter("r1", "compression", shape=(a, b)))
    expected = beta.ppf(norm.cdf(Z) * beta.cdf(0.45, a, b), a, b)
    assert got == pytest.approx(expected, rel=2e-3, abs=1e-4)
    assert value(Parameter("r1", "compression", shape=(a, b)), np.array([9.0])) <= 0.45


def test_a_plenum_s_velocity_has_two_ends():
    """Anywhere between 400 and 1,050 fpm alike, by the logarithm, and never beyond (proposed)."""
    got = value(Parameter("port", "port-velocity"), np.array([-9.0, -1.0, 0.0, 1.0, 9.0]))
    reach = np.sqrt(3.0) * prior_row("port-velocity").sigma
    share = 2.0 * norm.cdf([-9.0, -1.0, 0.0, 1.0, 9.0]) - 1.0
    assert np.log(got) == pytest.approx(reach * share, abs=1e-3)
    fpm = 650.0 * np.sqrt(got[[0, -1]])
    assert fpm == pytest.approx([404, 1047], rel=0.01)
    # Its standard deviation is what the table says, as SciPy's uniform has it.
    assert uniform(-reach, 2.0 * reach).std() == pytest.approx(prior_row("port-velocity").sigma)


def test_a_run_is_seldom_far_from_what_it_seems_and_then_it_resists_more():
    """One in a hundred resists three times as much, none a third (common practice, no source)."""
    row = prior_row("as-hung")
    low, middle, high = value(Parameter("r1", "as-hung"), norm.ppf([0.01, 0.5, 0.99]))
    assert middle == 1.0
    assert 3.0 < high < 5.0
    assert 0.4 < low < 0.7
    # Tukey's g distribution, Hoaglin in Exploring Data Tables, Trends, and Shapes 1985 (memory).
    g = noise("skewness")
    assert high == pytest.approx(np.exp(row.sigma * (np.exp(g * norm.ppf(0.99)) - 1.0) / g))
    # A climb that looks far beyond all odds still finds a number, and more of it further out.
    far = value(Parameter("r1", "as-hung"), np.array([5.9, 6.1, 40.0]))
    assert np.all(np.isfinite(far))
    assert np.all(np.diff(np.log(far)) > 0.0)


def test_the_place_of_a_tap_is_uniform():
    """An unknown tap lies anywhere between the first and the last alike."""
    assert value(Parameter("tap", "tap-place")) == pytest.approx(norm.cdf(Z), abs=1e-4)


def test_a_guess_widens_more_than_a_tape():
    """A diameter enters friction to the fifth power: a guessed one widens far more."""
    spreads = [
        prior_spread(Parameter("r1", "friction", facts=(("diameter", how, 5.0),)))
        for how in (How.MEASURED, How.SEEN, How.STATED, How.TYPICAL)
    ]
    assert spreads == sorted(spreads)
    own = prior_row("friction").sigma
    assert spreads[0] == pytest.approx(np.hypot(own, 5.0 * 0.01))
    assert spreads[3] == pytest.approx(np.hypot(own, 5.0 * 0.12))


def test_one_crew_s_runs_go_together():
    """Runs of one family share half of their variance; each alone has the spread it should."""
    family = [Parameter(f"run:r{i}", "fittings", family="supply") for i in range(2)]
    lone = Parameter("run:new", "fittings")
    prior = Prior.of([*family, lone])
    assert prior.latents == ("run:r0", "run:r1", "run:new", "fittings/supply")
    rng = np.random.default_rng(1)
    drawn = prior.values({name: rng.standard_normal(20000) for name in prior.latents})
    logs = {name: np.log(v) for name, v in drawn.items()}
    row = prior_row("fittings")
    assert np.corrcoef(logs["run:r0"], logs["run:r1"])[0, 1] == pytest.approx(row.shared, abs=0.03)
    assert abs(np.corrcoef(logs["run:r0"], logs["run:new"])[0, 1]) < 0.03
    for name in logs:
        assert logs[name].std() == pytest.approx(row.sigma, rel=0.03)


def test_a_latent_is_asked_for_only_where_no_value_is_kept():
    """Values come from what is kept, else from the latents, and are the same either way."""
    family = [Parameter(f"run:r{i}", "fittings", family="supply") for i in range(2)]
    latents = {name: np.full(3, 0.1 * k) for k, name in enumerate(Prior.of(family).latents)}
    asked = []

    def latent(name):
        asked.append(name)
        return latents[name]

    kept = {}
    Prior.of(family[:1]).drawn(latent, kept)
    assert asked == ["run:r0", "fittings/supply"]
    found = Prior.of(family).drawn(latent, kept)
    assert asked[2:] == ["run:r1", "fittings/supply"]
    plain = Prior.of(family).values(latents)
    assert all(np.array_equal(found[name], plain[name]) for name in plain)
    # One of the same name that rests on other facts is another one.
    other = replace(family[0], facts=(("length", How.TYPICAL, 1.0),))
    moved = Prior.of([other]).drawn(latents.__getitem__, kept)
    assert not np.array_equal(moved["run:r0"], plain["run:r0"])


def test_a_role_without_a_prior_is_refused():
    """A parameter of an unknown role lists the roles."""
    with pytest.raises(UnknownNameError) as caught:
        value(Parameter("x", "magic"))
    text = str(caught.value)
    assert text.startswith("prior: 'magic' came; roles are friction, compression, fittings, ")
    assert text.endswith(".")


# --- a reading's spread ------------------------------------------------------------------------


def test_a_static_s_spread_is_gauge_and_hand():
    """1 % of the reading, 0.002 in. w.c. of zero and 0.0042 at the port, root of squares."""
    got = spread(reading("r", "supply", 0.5), {})
    assert got == pytest.approx(to_si(np.sqrt(0.005**2 + 0.002**2 + 0.0042**2), "inwc"))


def test_an_instrument_s_own_error_counts():
    """A gauge whose error is known replaces the usual one; repeatability stays."""
    dial = Instrument("dial", gain=0.0, zero=to_si(0.02, "inwc"))
    got = spread(reading("r", "supply", 0.5, instrument="dial"), {"dial": dial})
    assert got == pytest.approx(to_si(np.hypot(0.02, 0.0042), "inwc"))


def test_watts_and_airflow_have_their_own_spread():
    """A clamp meter 2.5 %, a flow plate 7 % (memory), with their resolution."""
    watts = spread(reading("r", "unit", 400, "power", "w"), {})
    assert watts == pytest.approx(np.hypot(10.0, 3.0))
    flow = spread(reading("r", "unit", 1000, "airflow", "cfm"), {})
    assert flow == pytest.approx(to_si(np.hypot(70.0, 5.0), "cfm"))
    assert noise("student-dof") == 4.0


def test_volts_set_the_blower_and_are_no_reading():
    """Voltage becomes part of the condition; watts without a table of watts are left out."""
    (seen,) = observe(job(attic(), trial(**{"return": 0.3}, supply=0.3, voltage=230, power=450)))
    assert seen.network.state["volts"] == "230"
    assert [r.quantity for r in seen.readings] == ["static", "static", "power"]
    rows = attic().unit.table.rows
    bare = replace(
        attic(),
        unit=replace(
            attic().unit,
            table=replace(attic().unit.table, rows=tuple(replace(r, power=None) for r in rows)),
        ),
    )
    (seen,) = observe(job(bare, trial(**{"return": 0.3}, supply=0.3, power=450)))
    assert [r.quantity for r in seen.readings] == ["static", "static"]


# --- where weights do not hold -----------------------------------------------------------------


def test_tempered_samples_are_the_posterior_s():
    """For a linear reading of unit normals the posterior is known: mean and spread are its own."""
    slope, sigma, read = np.array([2.0, -1.0, 0.5]), 0.05, 4.0

    def log_likelihood(x):
        return -0.5 * ((read - x @ slope) / sigma) ** 2

    x = tempered(log_likelihood, 3, 1500, np.random.default_rng(3))
    precision = np.eye(3) + np.outer(slope, slope) / sigma**2
    cover = np.linalg.inv(precision)
    mean = cover @ slope * read / sigma**2
    assert x.mean(axis=0) == pytest.approx(mean, abs=0.12)
    assert np.cov(x.T) == pytest.approx(cover, abs=0.15)
    assert (x @ slope).mean() == pytest.approx(slope @ mean, abs=0.01)


def test_what_no_system_explains_is_refused():
    """Readings whose weight cannot be reached are refused, not answered."""

    def log_likelihood(x):
        return -1e9 * (x[:, 0] - 40.0) ** 2

    with pytest.raises(ConvergenceError) as caught:
        tempered(log_likelihood, 2, 50, np.random.default_rng(1))
    assert str(caught.value) == (
        "calibration: readings that explain only 0% of their weight came; the readings and the "
        "survey should lead to a system that can exist. Look for a reading or a size that is far "
        "off."
    )
