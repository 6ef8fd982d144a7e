"""The laws of side effects move in the trade's direction, and refuse what cannot be."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater.effects import capacity, coil_air, duct_gain, fan_energy, heating, humid_air, noise
from inchwater.effects.conditions import conditions
from inchwater.errors import PartError, UnknownNameError
from inchwater.units import to_si

TON = to_si(1.0, "ton")
KEYS = sorted(capacity.curve_sets())
fractions = st.floats(0.6, 1.25)
scatters = st.floats(-3.0, 3.0)
ratios = st.floats(0.2, 5.0)


# --- noise


@given(st.floats(0.1, 20.0), ratios)
def test_faster_air_is_louder(before, ratio):
    """The sign of the change is that of the change of speed; there and back is nothing."""
    change = noise.velocity_change(before, before * ratio)
    assert np.sign(round(change, 9)) == np.sign(round(np.log(ratio), 9))
    assert noise.velocity_change(before * ratio, before) == pytest.approx(-change, abs=1e-9)


@given(st.floats(0.5, 6.0), st.floats(0.01, 0.3), st.floats(1.0, 8.0), st.floats(1.05, 4.0))
def test_a_larger_register_for_the_same_air_is_softer(velocity, area, loss, larger):
    """So is one of less resistance."""
    grown = noise.terminal_change(
        (velocity, velocity / larger), (area, area * larger), (loss, loss)
    )
    assert grown < 0.0
    freer = noise.terminal_change((velocity, velocity), (area, area), (loss, loss / larger))
    assert freer < 0.0


@given(st.floats(0.3, 8.0), st.floats(1.01, 2.0), st.sampled_from(["supply", "return"]))
def test_the_criterion_rises_with_the_air(velocity, faster, side):
    """Within and beyond the table, and grilles may run faster than registers."""
    assert noise.criterion(velocity * faster, side) > noise.criterion(velocity, side)
    assert noise.criterion(velocity, "supply") > noise.criterion(velocity, "return")


def test_the_criterion_joins_its_law_at_both_ends():
    """No step where the table ends; and that it ends is said."""
    for side, low, high in (("supply", 250.0, 650.0), ("return", 300.0, 780.0)):
        for end in (low, high):
            speed = to_si(end, "fpm")
            inside, outside = (noise.criterion(speed * f, side) for f in (0.9999, 1.0001))
            assert outside - inside == pytest.approx(0.0, abs=0.02)
        assert noise.beyond(to_si(0.9 * low, "fpm"), side) == (
            "Slower than the table of noise begins: below NC 15."
        )
        assert noise.beyond(to_si(1.1 * high, "fpm"), side) == (
            "Faster than the table of noise ends: above NC 45, by the law."
        )
        assert noise.beyond(to_si(0.5 * (low + high), "fpm"), side) is None


def test_bedrooms_are_held_lower():
    """By the words of a room's name; a room without one is any room of a home."""
    for name in ("Bedroom 2", "master BED", "Guest room", "nursery"):
        assert noise.room_guidance(name).high == 30.0
    for name in ("Kitchen", None, ""):
        assert noise.room_guidance(name).high == 35.0


# --- capacity


@given(st.sampled_from(KEYS), fractions, scatters)
def test_more_air_gives_more_for_less(key, fraction, scatter):
    """Capacity never falls with air and energy put in for the heat never rises, in any unit."""
    curves = capacity.curve_set(key)
    two = np.array([fraction, min(fraction * 1.02, 1.25)])
    # The last bits of a parabola belong to rounding.
    assert np.diff(capacity.capacity_ratio(two, curves, scatter))[0] >= -1e-12
    assert np.diff(capacity.energy_input_ratio(two, curves, scatter))[0] <= 1e-12


@pytest.mark.parametrize("key", KEYS)
def test_all_is_one_at_the_rated_air(key):
    """Whatever the scatter; and a lone number gives a lone number."""
    curves = capacity.curve_set(key)
    for scatter in (-2.0, 0.0, 2.0):
        assert capacity.capacity_ratio(1.0, curves, scatter) == pytest.approx(1.0, abs=1e-12)
        assert capacity.energy_input_ratio(1.0, curves, scatter) == pytest.approx(1.0, abs=1e-12)
    assert isinstance(capacity.capacity_ratio(0.9, curves), float)
    assert capacity.capacity_ratio(np.array([0.8, 0.9]), curves).shape == (2,)


def test_the_scatter_widens_outside_the_range():
    """And that it is outside is said."""
    assert capacity.spread(0.8) == capacity.spread(1.0) == pytest.approx(0.35)
    assert capacity.spread(0.5) > capacity.spread(0.6)
    assert capacity.spread(1.4) > capacity.spread(1.25)
    assert capacity.beyond(0.8) is None
    assert capacity.beyond(0.5) == (
        "50 % of the rated air: the curves are made for 60 to 125 %, so this is a guess that "
        "widens."
    )


def test_thin_air_is_less_air():
    """The same volume at 0.83 of the density is 0.83 of the rated air."""
    curves = capacity.curve_set("ac-single")
    full = capacity.airflow_fraction(0.5, 3 * TON, curves)
    assert capacity.airflow_fraction(0.5, 3 * TON, curves, 0.83 * 1.2013847) == pytest.approx(
        0.83 * full
    )


@pytest.mark.parametrize(
    ("heat_pump", "stages", "call", "key"),
    [
        (False, 1, "cooling", "ac-single"),
        (True, 1, "cooling", "hp-single"),
        (True, 2, "cooling", "hp-two-high"),
        (False, 2, "cooling-low", "ac-two-low"),
        (True, 1, "heating", "heat-single"),
        (True, 2, "heating-low", "heat-two-low"),
    ],
)
def test_the_set_of_a_unit_and_call(heat_pump, stages, call, key):
    """Kind, stages and call choose; the low stage has its own share of capacity and air."""
    found = capacity.set_of(heat_pump, stages, call)
    assert found.key == key
    assert (found.stage < 1.0) is key.endswith("low")


# --- the coil


@given(st.floats(0.6, 1.1), st.sampled_from(["rating", "hot", "mild"]))
def test_less_air_is_colder_and_wetter_work(fraction, state):
    """With less air coil and leaving air are colder, and the sensible share is smaller."""
    curves, entering = capacity.curve_set("hp-single"), conditions(state)
    rated = TON * curves.rated_airflow
    flows = np.array([fraction, fraction * 1.05])
    total = coil_air.total_capacity(TON, capacity.capacity_ratio(flows, curves), "hp", entering)
    found = coil_air.coil_air(flows * rated, total, TON, entering)
    for values in (found.dew_point, found.leaving, found.sensible_share):
        assert values[0] < values[1]
    assert np.all(found.water > 0.0)
    assert np.all(found.leaving > found.dew_point)


def test_a_coil_balances_its_heat_and_its_water():
    """What the air loses is the capacity: sensible and latent together, to a percent of it."""
    entering = conditions("rating")
    found = coil_air.coil_air(0.5, 3 * TON, 3 * TON, entering)
    dry = 0.5 * 1.2013847 / (1.0 + entering.humidity_ratio)
    h_in = humid_air.enthalpy(entering.temperature, entering.humidity_ratio)
    taken = dry * (h_in - humid_air.enthalpy(found.leaving, found.humidity))
    assert taken == pytest.approx(3 * TON, rel=1e-9)
    latent = found.water * humid_air.enthalpy(273.15, 1.0)
    assert latent == pytest.approx((1.0 - found.sensible_share) * 3 * TON, rel=0.03)


def test_in_dry_air_the_coil_takes_no_water():
    """All work is sensible, and no step lies between a wet coil and a dry one."""
    from dataclasses import replace

    hot = conditions("hot")
    shares, leaving = [], []
    for relative in np.linspace(0.05, 0.5, 46):
        found = coil_air.coil_air(
            0.5, 2.6 * TON, 3 * TON, replace(hot, relative_humidity=float(relative))
        )
        shares.append(found.sensible_share)
        leaving.append(found.leaving)
    assert shares[0] == 1.0
    assert shares[-1] < 0.85
    assert np.all(np.diff(shares) < 1e-9)
    assert np.max(np.abs(np.diff(leaving))) < 0.4


def test_a_colder_coil_ices():
    """Refrigerant lies some degrees below the coil, more or fewer from one coil to another."""
    surface = to_si(np.array([38.0, 45.0]), "degf")
    assert coil_air.ices(coil_air.refrigerant_temperature(surface)).tolist() == [True, False]
    assert coil_air.refrigerant_temperature(280.0, 1.0) < coil_air.refrigerant_temperature(280.0)


# --- heat, fan, ducts


@given(st.floats(1e3, 4e4), st.floats(0.1, 1.2), st.floats(1.01, 3.0))
def test_more_air_rises_less(heat, airflow, more):
    """The rise goes with heat over airflow, and the least airflow gives back the rise."""
    rise = heating.temperature_rise(heat, airflow)
    assert heating.temperature_rise(heat, airflow * more) == pytest.approx(rise / more)
    assert heating.temperature_rise(heat, airflow, fan_power=500.0) > rise
    if rise < 100.0:
        assert heating.least_airflow(heat, rise) == pytest.approx(airflow)


@given(st.floats(0.3, 3.0), st.floats(1.0, 20.0), st.floats(0.02, 0.3), st.floats(1.05, 3.0))
def test_more_air_gains_less_on_its_way(insulation, area, airflow, more):
    """Air never leaves hotter than the attic; insulation and airflow keep it cool."""
    cold, hot = to_si(55.0, "degf"), to_si(130.0, "degf")
    wall = duct_gain.conductance(insulation, 15.5, 7.5)
    end = duct_gain.leaving_temperature(cold, hot, wall, area, airflow)
    assert cold < end < hot
    assert duct_gain.leaving_temperature(cold, hot, wall, area, airflow * more) < end
    better = duct_gain.conductance(insulation * more, 15.5, 7.5)
    assert duct_gain.leaving_temperature(cold, hot, better, area, airflow) < end
    face = duct_gain.jacket_temperature(cold, hot, wall, 7.5)
    assert face < duct_gain.jacket_temperature(cold, hot, better, 7.5) < hot
    assert bool(duct_gain.sweats(face, face + 1.0))
    assert not duct_gain.sweats(face, face - 1.0)


def test_energy_of_a_year():
    """Hours and watts; a circuit that carries more runs less; money may be saved or spent."""
    assert fan_energy.yearly_energy(400.0, 0.0) == 0.0
    assert fan_energy.running_after(100.0, 2.0, 1.0) == 200.0
    assert fan_energy.cost(-3.6e6, to_si(0.2, "usd_kwh")) == pytest.approx(-0.2)


# --- what is refused

NAN = float("nan")
REFUSED = [
    (
        lambda: noise.velocity_change(0.0, 1.0),
        "before: 0 came; it is a number above zero.",
    ),
    (
        lambda: noise.velocity_change(1.0, np.array([1.0, NAN])),
        "after: nan came; it is a number above zero.",
    ),
    (
        lambda: noise.criterion(-1.0, "supply"),
        "velocity: -1 m/s came; it is a number above zero.",
    ),
    (
        lambda: noise.terminal_change((1.0, 1.0), (0.1, 0.0), (3.0, 3.0)),
        "area: 0 came; it is a number above zero.",
    ),
    (
        lambda: noise.blower_change((100.0, np.inf)),
        "speed: inf came; it is a number above zero.",
    ),
    (
        lambda: noise.blower_change_by_point((1.0, 1.0), (0.0, 1.0)),
        "pressure: 0 came; it is a number above zero.",
    ),
    (
        lambda: capacity.capacity_ratio(0.25, capacity.curve_set("ac-single")),
        "fraction: 0.25 came; the curves are carried from 0.3 to 1.5 of the rated air. "
        "Check the airflow and the capacity.",
    ),
    (
        lambda: capacity.energy_input_ratio(NAN, capacity.curve_set("ac-single")),
        "fraction: nan came; the curves are carried from 0.3 to 1.5 of the rated air. "
        "Check the airflow and the capacity.",
    ),
    (
        lambda: capacity.temperature_factor("ac", 260.0, 305.0),
        "wet_bulb: 260 K came; the curves know 287.0 to 295.4 K (57 to 72 °F).",
    ),
    (
        lambda: capacity.temperature_factor("ac", 292.0, 330.0),
        "outdoor: 330 K came; the curves know 288.7 to 324.8 K (60 to 125 °F).",
    ),
    (
        lambda: coil_air.coil_air(NAN, 1e4, 1e4, conditions("hot")),
        "airflow: nan m3/s came; it is a number above zero.",
    ),
    (
        lambda: coil_air.bypass_factor(5e-5, 0.95),
        "rated_share: 0.95 came; the rating test leaves 0.59 to 0.81 sensible.",
    ),
    (
        lambda: heating.temperature_rise(1e4, 0.0),
        "airflow: 0 m3/s came; it is a number above zero.",
    ),
    (
        lambda: heating.temperature_rise(1e4, 0.5, fan_power=-1.0),
        "fan_power: -1 W came; watts of a blower are not negative.",
    ),
    (
        lambda: heating.least_airflow(1e4, 150.0),
        "highest_rise: 150 K came; a rise is above 0 and at most 111 K (200 °F).",
    ),
    (
        lambda: fan_energy.yearly_energy(NAN, 1.0),
        "power: nan W came; watts are not negative.",
    ),
    (
        lambda: fan_energy.cost(1.0, -1.0),
        "price: -1 USD/J came; a price is not negative.",
    ),
    (
        lambda: duct_gain.conductance(-0.1, 15.0, 8.0),
        "insulation: -0.1 m2 K/W came; insulation is 0 to 10 m²·K/W (R-0 to R-57).",
    ),
    (
        lambda: duct_gain.leaving_temperature(285.0, 600.0, 0.8, 1.0, 0.1),
        "around: 600 K came; air around ducts has 213 to 363 K.",
    ),
    (
        lambda: humid_air.humidity_ratio(295.0, 1.2),
        "relative_humidity: 1.2 came; relative humidity runs from 0 to 1.",
    ),
    (
        lambda: humid_air.saturation_pressure(500.0),
        "temperature: 500 K came; air is known here from 213.15 to 363.15 K (−60 to 90 °C).",
    ),
]


@pytest.mark.parametrize(("act", "text"), REFUSED, ids=range(len(REFUSED)))
def test_what_cannot_be_is_refused(act, text):
    """Each law says which input, what came and what would be right."""
    with pytest.raises(PartError) as caught:
        act()
    assert str(caught.value) == text


def test_unknown_names_are_refused_with_the_choices():
    """A set, a call, a family, a side and a state have lists."""
    cases = [
        (lambda: capacity.curve_set("swamp"), f"choices are {', '.join(capacity.curve_sets())}"),
        (
            lambda: capacity.set_of(True, 1, "fan"),
            "choices are cooling, cooling-low, heating, heating-low",
        ),
        (lambda: noise.criterion(1.0, "side"), "choices are supply, return"),
        (lambda: conditions("spring"), "choices are rating, hot, mild, winter"),
        (lambda: capacity.temperature_factor("gas", 290.0, 300.0), "choices are ac, hp"),
    ]
    for act, right in cases:
        with pytest.raises(UnknownNameError) as caught:
            act()
        assert caught.value.right == right
