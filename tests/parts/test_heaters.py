"""Electric heat kits: by power and unit, by rating, unknown."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inchwater.errors import PartError
from inchwater.parts import heaters
from inchwater.units import from_si, to_si

POWERS = st.floats(3_000.0, 25_000.0)
TONS = st.floats(1.5, 5.0)


@given(POWERS, TONS, st.floats(1.05, 2.0))
def test_more_elements_cost_more(power, tons, factor):
    """More heat in one section costs more; a larger unit costs less."""
    capacity = to_si(tons, "ton")
    flow = to_si(1000.0, "cfm")
    law, _ = heaters.heater_law(power, capacity)
    more, _ = heaters.heater_law(factor * power, capacity)
    larger, _ = heaters.heater_law(power, factor * capacity)
    assert more.drop(flow) > law.drop(flow) > larger.drop(flow)


def test_a_kit_nobody_read_is_the_usual_one_and_less_certain():
    """None is 10 kW on three tons."""
    capacity = to_si(3.0, "ton")
    unknown, wide = heaters.heater_law(None, capacity)
    usual, narrow = heaters.heater_law(0.95 * capacity, capacity)
    assert unknown.drop(0.5) == pytest.approx(usual.drop(0.5), rel=1e-12)
    assert wide > narrow
    assert from_si(0.95 * capacity, "kw") == pytest.approx(10.0, abs=0.1)


def test_kits_cost_hundredths_of_an_inch():
    """5 to 20 kW on three to five tons take 0.02 to 0.10 in. w.c. (memory of printed kits)."""
    for kilowatts, tons in ((5, 3), (10, 3), (15, 4), (20, 5)):
        law, _ = heaters.heater_law(to_si(kilowatts, "kw"), to_si(tons, "ton"))
        drop = from_si(float(law.drop(to_si(400.0 * tons, "cfm"))), "inwc")
        assert 0.02 <= drop <= 0.10


def test_a_rating_replaces_the_size():
    """The law goes through the printed drop, and is more certain than a size."""
    law, sigma = heaters.heater_law_from_rating(20.0, 0.5)
    assert law.drop(0.5) == pytest.approx(20.0, rel=1e-12)
    assert sigma < heaters.heater_law(10_000.0, 10_000.0)[1]


@pytest.mark.parametrize(
    ("power", "capacity", "where"), [(0.0, 10_000.0, "heat_kit.power"), (5e3, 0.0, "capacity")]
)
def test_a_power_is_above_zero(power, capacity, where):
    """A kit or a unit of no power is refused by its name."""
    with pytest.raises(PartError) as caught:
        heaters.heater_law(power, capacity)
    assert str(caught.value) == f"{where}: 0 W came; a power is a number above zero."


def test_kits_that_do_not_fit_their_unit_are_said():
    """Far too small and far too large have their sentence, the usual none."""
    ton = to_si(1.0, "ton")
    assert heaters.beyond(10_000.0, 3.0 * ton) is None
    assert heaters.beyond(20_000.0, 1.5 * ton) == (
        "20 kW of electric heat is more than units of 1.5 ton are sold with; its drop is a guess. "
        "Read the kit's plate again."
    )
    assert heaters.beyond(1_000.0, 5.0 * ton) == (
        "1 kW of electric heat is less than units of 5 ton are sold with; its drop is a guess. "
        "Read the kit's plate again."
    )
