"""Units: the factors against their publication, round trips, kinds that do not mix, what is shown.

NIST SP 811 (2008), appendix B.8 and B.9, is not copyrighted; its figures were not seen in print
while this was written: each row says memory, computed from a definition, or definition.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater import units
from inchwater.errors import InputError, UnknownNameError


@pytest.mark.parametrize(
    ("value", "name", "si", "tolerance"),
    [
        # Inch of water, conventional (4 °C): NIST SP 811 app. B prints 2.490 889 E+02; memory.
        (1.0, "inwc", 249.0889, 2e-7),
        # Foot and inch: exact by definition (1959); NIST SP 811 app. B.6.
        (1.0, "ft", 0.3048, 0.0),
        (1.0, "in", 0.0254, 0.0),
        # Cubic foot per minute: NIST SP 811 app. B.9 prints 4.719 474 E-04; computed 0.3048³/60.
        (1.0, "cfm", 4.719474e-4, 1e-6),
        # Foot per minute: NIST SP 811 app. B.9 prints 5.08 E-03, exact; computed.
        (1.0, "fpm", 0.00508, 1e-15),
        # Pound per cubic foot: NIST SP 811 app. B.9 prints 1.601 846 E+01; 0.075 lb/ft³ computed.
        (0.075, "lbft3", 1.201385, 1e-6),
        # Btu (International Table) per hour: NIST SP 811 app. B.9 prints 2.930 711 E-01; memory.
        # Ours is made of 3412.142, which is rounded itself: half a digit of each.
        (1.0, "btuh", 0.2930711, 1.7e-7 + 1.5e-7),
        # Ton of refrigeration, 12 000 Btu(IT)/h: app. B.9 prints 3.516 853 E+03; memory.
        (1.0, "ton", 3516.853, 1.4e-7 + 1.5e-7),
        # Revolution per minute: NIST SP 811 app. B.9 prints 1.047 198 E-01; computed 2π/60.
        (1.0, "rpm", 0.1047198, 5e-7),
        # R-value, h·ft²·°F/Btu: NIST SP 811 app. B.9 prints 1.761 102 E-01 m²·K/W; memory.
        (1.0, "rvalue", 0.1761102, 1.7e-7 + 1.5e-7),
        # Kilowatt-hour: exact by definition.
        (1.0, "kwh", 3.6e6, 1e-15),
        # Pound per hour: NIST SP 811 app. B.9 prints 1.259 979 E-04 kg/s; computed.
        (1.0, "lbh", 1.259979e-4, 2e-7),
        # Square inch and square foot: exact by definition.
        (1.0, "in2", 6.4516e-4, 1e-15),
        (1.0, "ft2", 0.09290304, 1e-15),
        # Degrees: exact by definition: 32 °F is 273.15 K, 70 °F is 21.111 °C.
        (32.0, "degf", 273.15, 1e-15),
        (70.0, "degf", 273.15 + 21.0 + 1.0 / 9.0, 1e-15),
        (20.0, "degc", 293.15, 0.0),
    ],
)
def test_factors_follow_the_publication(value, name, si, tolerance):
    """The SI value equals the printed one; the tolerance is half of its last printed digit."""
    assert units.to_si(value, name) == pytest.approx(si, rel=tolerance, abs=0.0)


@pytest.mark.parametrize(
    ("value", "name", "into", "expected", "tolerance"),
    [
        # The lines UNI-03 to UNI-09 of the project's collected check values, all computed there.
        (1.0, "cfm", "ls", 0.4719474, 1e-6),
        (1.0, "cfm", "m3h", 1.699011, 1e-6),
        (1.0, "pa", "inwc", 0.00401463, 1e-4),
        (1.0, "kw", "btuh", 3412.142, 1e-6),
        (1.0, "ton", "kw_cooling", 3.517, 1e-4),
        # 400 cfm/ton is 53.68 L/s per kW: computed here, tolerance of its digits.
        (400.0, "cfm_ton", "ls_kw", 53.68, 2e-4),
    ],
)
def test_one_unit_in_another(value, name, into, expected, tolerance):
    """What the trade converts every day."""
    assert units.from_si(units.to_si(value, name), into) == pytest.approx(expected, rel=tolerance)


def test_inches_of_water_per_hundred_feet():
    """1 in. w.c. per 100 ft is 8.17221 Pa/m (UNI-06, computed; tolerance 1e-4)."""
    assert units.to_si(1.0, "inwc") / units.to_si(100.0, "ft") == pytest.approx(8.17221, rel=1e-4)


def test_the_other_inch_of_water_differs_by_a_tenth_of_a_percent():
    """Water at 60 °F gives 248.84 Pa (NIST SP 811 app. B, memory): a convention, not an error."""
    assert units.to_si(1.0, "inwc") == pytest.approx(248.84, rel=1.1e-3)
    assert units.to_si(1.0, "inwc") != pytest.approx(248.84, rel=0.9e-3)


@given(st.sampled_from(sorted(units.UNITS)), st.floats(-1e9, 1e9))
def test_a_value_comes_back_from_si(name, value):
    """There and back is the same to rounding, whatever the unit."""
    again = units.from_si(units.to_si(value, name), name)
    # An offset of some 500 degrees leaves its own rounding on small numbers.
    assert again == pytest.approx(value, rel=1e-12, abs=1e-9)


@given(
    st.sampled_from([(a, b) for a in units.UNITS for b in units.UNITS if a != b]),
    st.floats(0.01, 1e6),
)
def test_kinds_do_not_mix(pair, value):
    """A unit is taken for its own kind only, so pascals never become metres."""
    name, other = pair
    kind = units.UNITS[other].kind
    if units.UNITS[name].kind == kind:
        assert units.to_si(value, name, kind) == units.to_si(value, name)
    else:
        with pytest.raises(InputError) as caught:
            units.to_si(value, name, kind)
        assert caught.value.came == repr(name)


def test_arrays_convert_like_numbers():
    """A whole column at once is the same as one by one."""
    column = np.array([0.1, 0.5, 1.0])
    converted = units.to_si(column, "inwc")
    assert list(converted) == [units.to_si(float(one), "inwc") for one in column]


def test_a_unit_that_is_unknown_is_named_with_the_choices():
    """The text lists every unit."""
    with pytest.raises(UnknownNameError) as caught:
        units.unit("psi")
    assert str(caught.value) == f"unit: 'psi' came; units are {', '.join(units.UNITS)}."


def test_a_unit_of_another_kind_is_named_with_the_choices():
    """The text lists the units of the kind that was wanted."""
    with pytest.raises(InputError) as caught:
        units.to_si(6.0, "pa", "length")
    assert str(caught.value) == "unit: 'pa' came; length is given in m, mm, in, ft."
    with pytest.raises(InputError) as caught:
        units.to_si(6.0, "pa", "altitude")
    assert str(caught.value) == "unit: 'pa' came; altitude is given in m, mm, in, ft."


@pytest.mark.parametrize(
    ("value", "kind", "ip", "si"),
    [
        (149.45, "pressure", "0.60", "149"),
        (-72.24, "pressure", "−0.29", "−72"),
        (-0.1, "pressure", "0.00", "0"),
        (0.5663, "airflow", "1,200", "566"),
        (7.62, "run_length", "25", "7.6"),
        (0.1524, "length", "6.0", "152"),
        (1609.3, "altitude", "5,280", "1,609"),
        (10550.6, "capacity", "3.0", "10.6"),
        (294.26, "temperature", "70", "21"),
        (0.375, "ratio", "38", "38"),
        (5.36e-5, "airflow_per_capacity", "399", "54"),
        (800.0, "power_per_airflow", "0.38", "0.80"),
    ],
)
def test_values_are_shown_as_the_trade_reads_them(value, kind, ip, si):
    """Decimals by kind, a typographic minus, no minus before nothing."""
    assert units.shown(value, kind, "ip")[1] == ip
    assert units.shown(value, kind, "si")[1] == si


def test_every_kind_is_shown_in_units_of_its_own_kind():
    """Lengths of runs, altitudes and the power of heat differ only in how they are shown."""
    same = {"run_length": "length", "altitude": "length", "heat_power": "power"}
    same |= {"heat_output": "power", "seconds": "time"}
    for kind, systems in units.SHOWN.items():
        for name, decimals in systems.values():
            assert units.unit(name).kind == same.get(kind, kind)
            assert decimals >= 0


def test_spellings_are_those_of_files_and_labels_those_of_people():
    """A spelling can end a key (``tesp_inwc``); every unit but the bare number has a label."""
    for name, unit in units.UNITS.items():
        assert name == unit.name
        assert name.replace("_", "").isalnum()
        assert name.islower() or name == "1"
        assert unit.label or name == "1"
        assert unit.factor > 0.0
