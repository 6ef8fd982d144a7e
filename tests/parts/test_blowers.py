"""Blower curves: between the cells, beyond them, in thin air, at low voltage, without a table."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater.errors import PartError, TableError, UnknownNameError
from inchwater.parts import blowers
from inchwater.parts.blower_tables import Cell
from inchwater.units import from_si, to_si

TESPS = st.floats(-50.0, 500.0)


def cells(tap: str, *pairs: tuple[float, float | None], power: float | None = None) -> list[Cell]:
    """Cells from (in. w.c., cfm) pairs; None is a dash."""
    return [
        Cell(tap, to_si(p, "inwc"), None if q is None else to_si(q, "cfm"), power) for p, q in pairs
    ]


FALLING = cells(
    "high", (0.3, 1300), (0.4, 1240), (0.5, 1170), (0.6, 1090), (0.7, 1000), (0.8, None)
)


def test_the_curve_goes_through_its_cells():
    """At a printed pressure the printed airflow comes out."""
    curve = blowers.tap_curve(FALLING, "high")
    for cell in curve.usable:
        assert curve.airflow(cell.tesp) == pytest.approx(cell.airflow, rel=1e-12)
    assert curve.rows[-1].airflow is None
    assert curve.range == pytest.approx((to_si(0.3, "inwc"), to_si(0.7, "inwc")))


@given(TESPS, st.floats(0.01, 100.0))
def test_more_pressure_never_moves_more_air(tesp, more):
    """The curve falls everywhere, outside its cells too."""
    curve = blowers.tap_curve(FALLING, "high")
    assert curve.airflow(tesp + more) < curve.airflow(tesp)


@given(TESPS)
def test_the_slope_is_that_of_the_curve(tesp):
    """The slope equals a central difference."""
    curve = blowers.tap_curve(FALLING, "high")
    if min(abs(tesp - cell.tesp) for cell in curve.rows) > 1e-3:
        low, high = curve.airflow(tesp - 1e-3), curve.airflow(tesp + 1e-3)
        airflow, slope = curve.airflow_and_slope(tesp)
        assert airflow == curve.airflow(tesp)
        assert slope == pytest.approx((high - low) / 2e-3, rel=1e-5)


@given(st.lists(TESPS, min_size=1, max_size=20))
def test_together_is_as_one_by_one(tesps):
    """Samples of a pressure give what each gives alone."""
    curve = blowers.tap_curve(FALLING, "high")
    together = curve.airflow_and_slope(np.array(tesps))
    for index, tesp in enumerate(tesps):
        alone = curve.airflow_and_slope(tesp)
        assert together[0][index] == pytest.approx(alone[0], rel=1e-12, abs=1e-15)
        assert together[1][index] == pytest.approx(alone[1], rel=1e-12)


@given(st.permutations(FALLING))
def test_the_order_of_cells_does_not_matter(rows):
    """Cells typed in any order make the same curve."""
    tesp = np.linspace(0.0, 300.0, 50)
    expected = blowers.tap_curve(FALLING, "high").airflow(tesp)
    assert np.array_equal(blowers.tap_curve(rows, "high").airflow(tesp), expected)


def test_two_cells_are_a_table():
    """Between two cells the curve is a straight line, and beyond them too."""
    curve = blowers.tap_curve(cells("m", (0.6, 1000), (0.7, 950)), "m")
    for pressure, airflow in [(0.65, 975), (0.5, 1050), (0.8, 900)]:
        found = from_si(curve.airflow(to_si(pressure, "inwc")), "cfm")
        assert found == pytest.approx(airflow, rel=1e-12)


def test_a_constant_airflow_map_still_falls_beyond_its_end():
    """A level table gets a slope beyond its last column: 1 % in 0.1 in. w.c. at the least."""
    curve = blowers.tap_curve(cells("1200", (0.2, 1200), (0.5, 1200), (0.8, 1200)), "1200")
    assert from_si(curve.airflow(to_si(0.4, "inwc")), "cfm") == pytest.approx(1200)
    assert from_si(curve.airflow(to_si(0.9, "inwc")), "cfm") == pytest.approx(1188)
    assert curve.airflow_and_slope(to_si(0.9, "inwc"))[1] < 0.0


def test_rounding_is_smoothed_and_stays_level():
    """A table of a constant airflow, rounded up and down by a few cfm, makes a falling curve."""
    curve = blowers.tap_curve(cells("w", (0.2, 1195), (0.3, 1200), (0.4, 1195), (0.5, 1150)), "w")
    fine = curve.airflow(np.linspace(0.0, to_si(0.7, "inwc"), 300))
    assert np.all(np.diff(fine) <= 1e-15)
    assert from_si(curve.airflow(to_si(0.25, "inwc")), "cfm") == pytest.approx(1197, abs=2)


@given(st.floats(0.7, 2.0))
def test_beyond_tells_how_far(pressure):
    """Past the last cell the distance is told in pascals; the dash is no cell."""
    curve = blowers.tap_curve(FALLING, "high")
    assert curve.beyond(to_si(pressure, "inwc")) == pytest.approx(
        to_si(pressure - 0.7, "inwc"), abs=1e-9
    )
    assert curve.beyond(0.0) == 0.0
    assert pytest.approx(to_si(0.1, "inwc")) == blowers.LIMIT


def test_a_dash_below_bounds_the_range_too():
    """Where the first columns are dashes, low pressure is outside."""
    curve = blowers.tap_curve(cells("low", (0.1, None), (0.3, 800), (0.5, 700)), "low")
    below = curve.beyond(np.array([to_si(0.2, "inwc"), to_si(0.4, "inwc"), to_si(0.6, "inwc")]))
    assert below == pytest.approx([to_si(0.1, "inwc"), 0.0, to_si(0.1, "inwc")], abs=1e-9)


def test_watts_come_from_the_table_or_not_at_all():
    """With watts in two cells there is a curve of them, else None."""
    assert blowers.tap_curve(FALLING, "high").power(100.0) is None
    rows = [Cell("e", 50.0, 0.50, 200.0), Cell("e", 100.0, 0.49, 260.0), Cell("e", 150.0, 0.48)]
    curve = blowers.tap_curve(rows, "e")
    assert curve.power(75.0) == pytest.approx(230.0)
    assert curve.power(np.array([50.0, 125.0])) == pytest.approx([200.0, 290.0])


def test_other_taps_do_not_disturb():
    """A tap's curve is made of its own cells; a fault in another tap is that one's."""
    rows = [*FALLING, *cells("broken", (0.3, 900), (0.4, 1100))]
    assert blowers.tap_curve(rows, "high").airflow(100.0) > 0.0
    with pytest.raises(TableError):
        blowers.check_table(rows)


def test_an_unknown_tap_is_told_the_taps():
    """The choices are the taps of the table, as printed."""
    rows = [*FALLING, *cells("low", (0.3, 900), (0.4, 850))]
    with pytest.raises(UnknownNameError) as caught:
        blowers.tap_curve(rows, "turbo")
    assert str(caught.value) == "tap: 'turbo' came; choices are high, low."


@pytest.mark.parametrize("motor", [*blowers.MOTORS, None])
def test_a_unit_without_a_table_scales_with_its_capacity(motor):
    """The generic curve falls, is per ton the same for all sizes, and has no watts."""
    small, large = (blowers.generic_curve(motor, to_si(tons, "ton")) for tons in (1.5, 5.0))
    tesp = to_si(np.linspace(0.1, 1.4, 60), "inwc")
    assert np.all(np.diff(small.airflow(tesp)) < 0.0)
    assert large.airflow(tesp) / 5.0 == pytest.approx(small.airflow(tesp) / 1.5, rel=1e-12)
    assert small.power(100.0) is None
    assert small.generic
    assert not blowers.tap_curve(FALLING, "high").generic


def test_not_knowing_the_motor_is_between_and_wider():
    """The unknown motor's curve lies between the three, its spread above theirs."""
    tesp = to_si(0.75, "inwc")
    known = [blowers.generic_curve(motor, 10_000.0).airflow(tesp) for motor in blowers.MOTORS]
    unknown = blowers.generic_curve(None, 10_000.0).airflow(tesp)
    assert min(known) < unknown < max(known)
    assert blowers.sigma_ln(None, generic=True) > max(
        blowers.sigma_ln(motor, generic=True) for motor in blowers.MOTORS
    )


@pytest.mark.parametrize("motor", [*blowers.MOTORS, None])
def test_a_printed_table_is_more_certain_than_none(motor):
    """The spread round a unit's own table is below that round the generic curve."""
    assert blowers.sigma_ln(motor, generic=False) < blowers.sigma_ln(motor, generic=True)


def test_a_table_is_entered_higher_in_thin_air():
    """PSC and torque tables are entered with the pressure over the density ratio."""
    assert blowers.density_ratio_entry(100.0, 0.8, "psc") == pytest.approx(125.0)
    assert blowers.density_ratio_entry(100.0, 0.8, "constant-torque") == pytest.approx(125.0)
    assert blowers.density_ratio_entry(100.0, 0.8, None) == pytest.approx(125.0)
    assert blowers.density_ratio_entry(100.0, 0.8, "constant-airflow") == 100.0


def test_voltage_moves_a_psc_motor_only():
    """At its nominal voltage nothing changes; electronic motors do not mind, None half minds."""
    assert blowers.voltage_factor("psc", 230.0, 230.0) == (1.0, 0.0)
    assert blowers.voltage_factor("constant-torque", 200.0, 230.0) == (1.0, 0.0)
    psc, psc_sigma = blowers.voltage_factor("psc", np.array([208.0, 245.0]), 230.0)
    assert psc[0] < 1.0 < psc[1]
    unknown, unknown_sigma = blowers.voltage_factor(None, 208.0, 230.0)
    assert psc[0] < unknown < 1.0
    assert unknown_sigma > psc_sigma[0]


def test_a_slow_tap_minds_low_voltage_more():
    """208 V on a 230 V table, PSC: 0.94 on the top tap, 0.86 on the lowest, watts 0.84 (memory).

    The ranges from memory of printed tables are 0.90-0.97, 0.80-0.92 and 0.80-0.88.
    """
    top, middle, lowest = (blowers.voltage_factor("psc", 208.0, 230.0, at) for at in (0, 0.5, 1))
    assert 0.90 < top[0] < 0.97
    assert 0.80 < lowest[0] < 0.92
    assert lowest[0] < middle[0] < top[0]
    assert lowest[1] > top[1]
    watts, sigma = blowers.voltage_power_factor("psc", 208.0, 230.0)
    assert 0.80 < watts < 0.88
    assert sigma > 0.0
    assert blowers.voltage_power_factor("constant-airflow", 208.0, 230.0) == (1.0, 0.0)


def test_a_voltage_far_from_the_table_s_is_said():
    """190 V on a 230 V table: what a PSC motor does there is a guess; an electronic one holds."""
    assert blowers.voltage_beyond("psc", 208.0, 230.0) is None
    assert blowers.voltage_beyond("constant-torque", 190.0, 230.0) is None
    for motor in ("psc", None):
        assert blowers.voltage_beyond(motor, 190.0, 230.0) == (
            "190 V under load is far from the 230 V of the table; what that does to the airflow is "
            "a guess. Read the voltage again at the unit, and look which supply it has."
        )
    assert blowers.voltage_beyond("psc", 260.0, 230.0) is not None


def test_a_unit_larger_than_those_known_is_said():
    """Twelve tons without a table: no blower of houses stands in for it."""
    assert all(blowers.generic_beyond(to_si(tons, "ton")) is None for tons in (1.5, 3.0, 5.0))
    assert blowers.generic_beyond(to_si(12.0, "ton")) == (
        "A unit of 12 ton is outside the 1.5 to 5 ton of the blowers that stand in for one without "
        "a table. Type two cells of its own table."
    )


def test_a_motor_that_holds_its_airflow_is_nearer_to_its_table():
    """It makes up for inlet and coil, which other motors leave to the ducts."""
    held, torque = (blowers.sigma_ln(m, generic=False) for m in ("constant-airflow", "psc"))
    assert held < torque


def watts_table(exponent):
    """Three settings whose watts go with a power of the airflow."""
    places = [(q, p) for q in (800.0, 1000.0, 1300.0) for p in (0.2, 0.5, 0.8)]
    return [
        Cell(str(q), to_si(p, "inwc"), to_si(q, "cfm"), (200.0 + 400.0 * p) * (q / 1e3) ** exponent)
        for q, p in places
    ]


@pytest.mark.parametrize("exponent", [1.0, 1.5, 3.0])
def test_watts_by_airflow_are_read_from_the_table(exponent):
    """From setting to setting at one pressure the table itself says how watts go with airflow."""
    assert blowers.watts_exponent(watts_table(exponent)) == pytest.approx(exponent, abs=0.01)


def test_a_table_that_does_not_say_how_watts_go_has_the_typical_exponent():
    """One setting with watts, none, or watts that fall as airflow rises."""
    typical = 1.4
    one = [row for row in watts_table(1.0) if row.tap == "800.0"]
    for rows in (one, FALLING, watts_table(-1.0), watts_table(5.0)):
        assert blowers.watts_exponent(rows) == typical


def test_dirt_on_the_wheel_takes_air_away():
    """Clean is one, dusty less, caked least."""
    clean, dusty, caked, unknown = (
        blowers.wheel_factor(word) for word in ("clean", "dusty", "caked", None)
    )
    assert 1.0 == clean[0] > unknown[0] > dusty[0] > caked[0]
    assert clean[1] < unknown[1]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: blowers.generic_curve("psc", 0.0),
            "capacity: 0 W came; it is a number above zero.",
        ),
        (
            lambda: blowers.density_ratio_entry(100.0, -0.8),
            "density_ratio: -0.8 came; it is a number above zero.",
        ),
        (
            lambda: blowers.voltage_factor("psc", 0.0, 230.0),
            "volts: 0 V came; a voltage is a number above zero.",
        ),
        (
            lambda: blowers.voltage_factor("psc", 230.0, 0.0),
            "nominal_volts: 0 V came; a voltage is a number above zero.",
        ),
    ],
)
def test_numbers_that_cannot_be_are_refused(call, message):
    """Capacity, density and voltage are above zero."""
    with pytest.raises(PartError) as caught:
        call()
    assert str(caught.value) == message


def test_an_unknown_motor_is_told_the_choices():
    """Motor families are three."""
    for call in (
        lambda: blowers.generic_curve("ecm", 10_000.0),
        lambda: blowers.sigma_ln("ecm", generic=True),
    ):
        with pytest.raises(UnknownNameError) as caught:
            call()
        assert str(caught.value) == (
            "motor: 'ecm' came; choices are psc, constant-torque, constant-airflow."
        )
