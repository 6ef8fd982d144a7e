"""The independent truth of the demo houses: its parts against print, its whole against itself."""

import math
import os
import subprocess
import sys
from pathlib import Path

import pytest

from inchwater import units
from inchwater.rehearsal import houses, truth

HOUSES = {"a": houses.house_a, "b": houses.house_b, "c": houses.house_c}


def cfm(value):
    return units.to_si(value, "cfm")


# McQuiston, Parker and Spitler, Heating, Ventilating and Air Conditioning, three-branch supply, as
# printed in a worked solution of it (read there, not in the book): chart friction, so within 8 %.
@pytest.mark.parametrize(
    ("flow", "diameter", "length", "fittings", "printed"),
    [(400, 10, 50, ("plenum-exit",), 0.0735), (280, 9, 50, (), 0.040), (120, 6, 40, (), 0.048)],
)
def test_a_duct_drops_as_in_the_textbook(flow, diameter, length, fittings, printed):
    """Duct and fitting losses equal the worked textbook's, which reads a friction chart."""
    piece = truth.Piece(
        units.to_si(diameter, "in"), units.to_si(length, "ft"), "roughness-metal", 1.0, fittings
    )
    assert units.from_si(piece.drop(cfm(flow)), "inwc") == pytest.approx(printed, rel=0.08)


# Engineering ToolBox, d_1122, friction chart: 20 in round, 4000 cfm reads 0.23 in. w.c./100 ft; the
# chart is for rougher duct, Darcy with 0.0003 ft gives 0.201.
def test_a_large_duct_lies_below_the_old_chart():
    """Friction of a 20-inch duct is within 15 % of the chart, on the smoother side."""
    piece = truth.Piece(units.to_si(20, "in"), units.to_si(100, "ft"), "roughness-metal")
    drop = units.from_si(piece.drop(cfm(4000)), "inwc")
    assert 0.85 * 0.23 < drop < 0.23


def test_laminar_friction_is_exact():
    """Below Re 2000 the factor is Poiseuille's 64/Re, and still air has no friction."""
    assert truth.friction_altshul_tsal(500.0, 0.01) == pytest.approx(0.128)
    assert truth.friction_altshul_tsal(0.0, 0.01) == 0.0


@pytest.mark.parametrize("reynolds", [2000.0, 4000.0])
def test_friction_has_no_step(reynolds):
    """The factor does not jump where the regimes meet."""
    below = truth.friction_altshul_tsal(reynolds * (1 - 1e-9), 0.006)
    above = truth.friction_altshul_tsal(reynolds * (1 + 1e-9), 0.006)
    assert below == pytest.approx(above, rel=1e-6)


@pytest.mark.parametrize("letter", HOUSES)
def test_air_is_neither_made_nor_lost(letter):
    """The blower moves what the rooms get and what the supply leaks, no more."""
    house = HOUSES[letter]()
    state = truth.settle(house)
    assert sum(state.runs.values()) == pytest.approx(state.delivered, rel=1e-12)
    total = state.static["supply"] + truth.velocity_pressure(state.airflow / house.areas["supply"])
    leak = house.leak_supply * (total / 25.0) ** 0.6
    assert state.delivered + leak == pytest.approx(state.airflow, rel=1e-6)


@pytest.mark.parametrize("letter", HOUSES)
def test_the_blower_stands_on_its_table(letter):
    """Airflow is what the table prints for the pressure that the blower meets, times its level."""
    house = HOUSES[letter]()
    state = truth.settle(house)
    meets = state.tesp
    if house.coil.inside:
        meets += house.coil.drop(state.airflow, wet=True) - house.coil.drop(
            state.airflow, wet=False
        )
    assert house.blower.flow_at(meets) == pytest.approx(state.airflow, rel=1e-6)


def test_taking_the_filter_out_moves_more_air():
    """Without its loaded filter the furnace moves more air at less external static."""
    house = houses.house_b()
    state, bare = truth.settle(house), truth.settle(truth.without_filter(house))
    assert bare.airflow > 1.1 * state.airflow
    assert bare.tesp < state.tesp


def test_linear_reading_of_a_table_goes_on_beyond_it():
    """Between columns the truth is linear; beyond them the last slope goes on."""
    blower = truth.Blower((0.0, 10.0, 20.0), (1.0, 0.8, 0.5), (100.0, 90.0, 80.0))
    assert blower.flow_at(5.0) == pytest.approx(0.9)
    assert blower.flow_at(30.0) == pytest.approx(0.2)
    assert blower.flow_at(-10.0) == pytest.approx(1.2)
    assert math.isclose(blower.power_at(15.0), 85.0)


def test_the_truth_shares_no_physics_with_the_engine():
    """Solving a house loads neither network nor calibration nor anything that builds on them."""
    code = (
        "import sys; from inchwater.rehearsal import houses, truth; truth.settle(houses.house_a());"
        "from inchwater.rehearsal import demo; demo.demo_a();"
        "print([m for m in sys.modules if m.startswith(('inchwater.network',"
        "'inchwater.calibration', 'inchwater.forecast', 'inchwater.parts', 'inchwater.answer'))])"
    )
    source = str(Path(__file__).parents[2] / "src")
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env=os.environ | {"PYTHONPATH": source},
    )
    assert done.stdout.strip() == "[]"
