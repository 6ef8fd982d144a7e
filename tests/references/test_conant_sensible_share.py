"""Conant's correlation of the sensible share by wet bulb, dry bulb, outdoors and airflow.

A fit to makers' tables in California's alternative calculation manual, read as coded in a public
simulation of that state; it knows no bypass factor, so it is another route to the same number.
Beside it: trade figures of how cold coils run.
"""

from __future__ import annotations

import pytest

from inchwater.air import STANDARD
from inchwater.effects.capacity import airflow_fraction, capacity_ratio, curve_set
from inchwater.effects.coil_air import (
    coil_air,
    ices,
    refrigerant_temperature,
    total_capacity,
)
from inchwater.effects.conditions import conditions
from inchwater.units import from_si, to_si

TON = to_si(1.0, "ton")


def behind(state: str, cfm_per_ton: float):
    """What a heat pump's coil of one ton does with this much air, and the air that enters."""
    curves = curve_set("hp-single")
    entering = conditions(state)
    airflow = to_si(cfm_per_ton, "cfm")
    ratio = capacity_ratio(airflow_fraction(airflow, TON, curves), curves)
    total = total_capacity(TON, ratio, "hp", entering)
    return coil_air(airflow, total, TON, entering, density=STANDARD.density), entering


def conant(state: str, cfm_per_ton: float) -> float:
    """The correlation, in °F and cfm of standard air for each ton."""
    entering = conditions(state)
    dry, wet = from_si(entering.temperature, "degf"), from_si(entering.wet_bulb, "degf")
    out = from_si(entering.outdoor, "degf")
    linear = 0.0242020 * dry - 0.0592153 * wet + 0.0012651 * out + 0.0016375 * cfm_per_ton
    return linear - 0.0000165 * wet * cfm_per_ton + 0.0002021 * wet**2 + 1.5085285


@pytest.mark.parametrize("state", ["rating", "hot"])
@pytest.mark.parametrize("cfm", [450.0, 400.0, 350.0, 300.0, 250.0])
def test_sensible_share(check, state, cfm):
    """Within 0.04; both fall by about 0.05 for each 100 cfm per ton."""
    check(
        formula="sensible share",
        source="conant",
        place="correlation as coded",
        case=f"{state}, {cfm:.0f} cfm per ton",
        says=conant(state, cfm),
        got=behind(state, cfm)[0].sensible_share,
        abs=0.04,
        status="computed",
    )


def test_the_split_of_a_usual_day(check):
    """Return less supply is 16 to 22 °F at 400 cfm per ton."""
    found, entering = behind("hot", 400.0)
    check(
        formula="coil state",
        source="trade",
        place="usual band of the temperature split",
        case="a hot day, 400 cfm per ton",
        says=(16.0, 22.0),
        got=from_si(entering.temperature - found.leaving, "degf_rise"),
        unit="°F",
        status="common practice",
    )


def test_a_coil_below_its_return_air(check):
    """About 35 °F below the return air, 30 °F with a large coil: 40 to 45 °F at 75 °F."""
    found, _ = behind("hot", 400.0)
    check(
        formula="coil refrigerant",
        source="coil-article",
        place="design difference of coil and return air",
        case="75 °F return air, 400 cfm per ton",
        says=(40.0, 45.0),
        got=from_si(refrigerant_temperature(found.dew_point), "degf"),
        unit="°F",
        status="read",
    )


def test_the_air_below_which_coils_ice(check):
    """On a mild day the refrigerant reaches 32 °F at some 270 cfm per ton."""
    low, high = 150.0, 450.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        cold = bool(ices(refrigerant_temperature(behind("mild", middle)[0].dew_point)))
        low, high = (middle, high) if cold else (low, middle)
    check(
        formula="coil refrigerant",
        source="trade",
        place="airflow below which coils ice",
        case="a mild day, the usual coil",
        says=(250.0, 300.0),
        got=low,
        unit="cfm/ton",
        status="memory",
    )


# State; share of the rated air; total over nominal, sensible share, apparatus dew point and
# return less leaving air [°F].
APART = [
    ("rating", 1.0, 0.992, 0.75, 55.5, 20.6),
    ("rating", 0.8, 0.957, 0.71, 53.9, 23.5),
    ("rating", 0.6, 0.913, 0.66, 50.7, 27.8),
    ("hot", 1.0, 0.938, 0.77, 51.2, 20.1),
    ("hot", 0.8, 0.905, 0.73, 49.4, 23.0),
    ("hot", 0.6, 0.863, 0.69, 46.2, 27.3),
    ("mild", 1.0, 0.993, 0.80, 43.9, 22.0),
    ("mild", 0.8, 0.958, 0.76, 41.8, 25.4),
    ("mild", 0.6, 0.913, 0.72, 37.9, 30.6),
]


@pytest.mark.parametrize(("state", "fraction", "total", "share", "dew", "split"), APART)
def test_the_same_model_worked_out_apart(check, state, fraction, total, share, dew, split):
    """Total within 1 %, share within 0.01, temperatures within 0.5 °F."""
    found, entering = behind(state, 394.2 * fraction)
    case = f"{state}, {fraction:g} of the rated air"
    ratio = capacity_ratio(fraction, curve_set("hp-single"))
    got = total_capacity(TON, ratio, "hp", entering) / TON
    assert got == pytest.approx(total, rel=0.01)
    assert found.sensible_share == pytest.approx(share, abs=0.011)
    for what, says, here in (
        ("apparatus dew point", dew, from_si(found.dew_point, "degf")),
        ("return less leaving", split, from_si(entering.temperature - found.leaving, "degf_rise")),
    ):
        check(
            formula="coil state",
            source="coil-computed",
            place=what,
            case=case,
            says=says,
            got=here,
            unit="°F",
            abs=0.5,
            status="computed",
        )
