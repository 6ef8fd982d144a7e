"""Air: density, viscosity and pressure from temperature, humidity and altitude."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater import air
from inchwater.errors import InputError


def test_standard_air_is_what_blower_tables_are_printed_for():
    """Standard air is 0.075 lb/ft3, and its density ratio is one."""
    assert pytest.approx(0.075 * 0.45359237 / 0.3048**3, rel=1e-6) == air.STANDARD.density
    assert air.STANDARD.density_ratio == 1.0


@given(st.floats(0.0, 3000.0), st.floats(255.0, 330.0), st.floats(0.0, 1.0))
def test_humid_air_is_lighter_than_dry(altitude, temperature, humidity):
    """Moisture takes density away, altitude too, warmth too."""
    pressure = air.standard_pressure(altitude)
    dry = air.density(temperature, pressure)
    assert air.density(temperature, pressure, humidity) <= dry * (1.0 + 1e-9)
    assert air.density(temperature + 1.0, pressure) < dry
    assert air.density(temperature, air.standard_pressure(altitude + 100.0)) < dry


def test_arrays_give_what_single_numbers_give():
    """Density over an array is that of each of its numbers; a number gives a number."""
    temperatures = np.array([280.0, 300.0, 320.0])
    together = air.density(temperatures, 101325.0, 0.4)
    alone = [air.density(t, 101325.0, 0.4) for t in temperatures]
    assert together == pytest.approx(alone, rel=1e-15)
    assert isinstance(alone[0], float)


def test_air_at_puts_the_three_together():
    """`air_at` is the density at the altitude's pressure, and the viscosity of the temperature."""
    found = air.air_at(altitude=1500.0, temperature=290.0, relative_humidity=0.3)
    assert found.density == air.density(290.0, air.standard_pressure(1500.0), 0.3)
    assert found.viscosity == air.viscosity(290.0)


def test_humidity_in_percent_is_refused():
    """A relative humidity of 50 is told to run from 0 to 1."""
    with pytest.raises(InputError) as caught:
        air.density(294.0, 101325.0, 50.0)
    assert str(caught.value) == ("relative_humidity: 50 came; relative humidity runs from 0 to 1.")


def test_temperature_in_celsius_is_refused():
    """Twenty is no temperature of the air in kelvin."""
    with pytest.raises(InputError) as caught:
        air.density(20.0, 101325.0)
    assert str(caught.value) == (
        "temperature: 20 K came; air is known here from 173.15 to 473.15 K (−100 to 200 °C). "
        "Temperatures are in kelvin inside the program."
    )


def test_threads_may_ask_for_the_first_air_together():
    """Psychrolib is loaded without numba in its sight, and nobody else's import is in its way."""
    import importlib
    from concurrent.futures import ThreadPoolExecutor

    air._psychrolib.cache_clear()
    with ThreadPoolExecutor(4) as pool:
        asked = [pool.submit(air.air_at, 1000.0) for _ in range(8)]
        numba = pool.submit(importlib.import_module, "numba")
        assert len({one.result().density for one in asked}) == 1
        assert numba.result().__name__ == "numba"
    assert not hasattr(air._psychrolib().GetStandardAtmPressure, "py_func")
