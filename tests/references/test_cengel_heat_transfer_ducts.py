"""Çengel, Heat Transfer, problem 8-41: hot air in a bare duct under an attic, and other routes.

Read as a worked student solution up to the Reynolds number: 85 °C air, 0.1 m³/s, 10 m of duct of
0.15 m by 0.15 m at 70 °C, properties at 80 °C; its end, 75.7 °C and 941 W, is from memory.
"""

from __future__ import annotations

from math import exp

import pytest

from inchwater.air import Air, sensible_heat
from inchwater.effects import duct_gain
from inchwater.units import from_si, to_si

SIDE, LENGTH, FLOW, DENSITY = 0.15, 10.0, 0.1, 0.9994
AREA = 4.0 * SIDE * LENGTH
VELOCITY = FLOW / SIDE**2
REYNOLDS = VELOCITY * SIDE / 2.097e-5
FILM = 0.02953 / SIDE * 0.023 * REYNOLDS**0.8 * 0.7154**0.3


def test_the_air_at_the_end_of_the_duct(check):
    """75.7 °C with the film of the solution, 16.4 W/(m² K)."""
    end = duct_gain.leaving_temperature(
        to_si(85.0, "degc"), to_si(70.0, "degc"), FILM, AREA, FLOW, DENSITY
    )
    check(
        formula="duct gain",
        source="cengel-heat",
        place="problem 8-41",
        case="air that was 85 °C behind 10 m at 70 °C",
        says=75.7 - 70.0,
        got=from_si(end, "degc") - 70.0,
        unit="K",
        rel=0.02,
        status="memory",
    )
    loss = sensible_heat(FLOW, to_si(85.0, "degc") - end, Air(DENSITY, 2.1e-5))
    check(
        formula="duct gain",
        source="cengel-heat",
        place="problem 8-41",
        case="heat lost",
        says=941.0,
        got=loss,
        unit="W",
        rel=0.01,
        status="memory",
    )


def test_a_smooth_ducts_film_is_smaller(check):
    """The solution's film of a smooth duct; ours, a building handbook's, is 30 % more."""
    check(
        formula="duct films",
        source="cengel-heat",
        place="problem 8-41, film inside",
        case="4.4 m/s in 0.15 m",
        says=FILM,
        got=duct_gain.film_inside(VELOCITY),
        unit="W/(m² K)",
        differs=(1.2, 1.4),
        status="computed",
    )


def test_both_films_together(check):
    """A public guide takes 0.85 h·ft²·°F/Btu for both films; ours with a plain jacket is 0.93."""
    ours = 1.0 / duct_gain.film_inside(3.0) + 1.0 / duct_gain.film_outside(False)
    check(
        formula="duct films",
        source="insulation-guide",
        place="assumptions of the calculator of air in a duct",
        case="inside and outside, plain jacket",
        says=0.85,
        got=from_si(ours, "rvalue"),
        unit="h·ft²·°F/Btu",
        rel=0.12,
        status="read",
    )


def test_a_shiny_jacket_in_still_air(check):
    """A bulletin takes R-1.32 for a reflective surface, ours is R-1.0."""
    check(
        formula="duct films",
        source="duct-bulletin",
        place="surface resistance, reflective, still air",
        case="foil",
        says=1.32,
        got=from_si(1.0 / duct_gain.film_outside(True), "rvalue"),
        unit="h·ft²·°F/Btu",
        differs=(0.7, 0.8),
        status="read",
    )


def test_a_jacket_by_a_ladder_of_resistances(check):
    """90 °F around, 40 °F inside, R-0.2, R-8 and R-1.67 in series: 81.54 °F."""
    outside = 1.0 / to_si(1.67, "rvalue")
    wall = duct_gain.conductance(to_si(8.0, "rvalue"), 1.0 / to_si(0.2, "rvalue"), outside)
    face = duct_gain.jacket_temperature(to_si(40.0, "degf"), to_si(90.0, "degf"), wall, outside)
    check(
        formula="duct jacket",
        source="mailing-list",
        place="worked example",
        case="R-8, 40 °F in 90 °F",
        says=90.0 - 81.54,
        got=90.0 - from_si(face, "degf"),
        unit="°F below the air around",
        rel=2e-3,
        status="read",
    )


@pytest.mark.parametrize(("insulation", "feet"), [(4.2, 15.0), (6.0, 25.0), (8.0, 40.0)])
def test_a_run_by_small_steps(check, insulation, feet):
    """The exponential against a balance of heat over ten thousand short pieces."""
    wall = duct_gain.conductance(to_si(insulation, "rvalue"), 15.5, 7.5)
    hot, air = to_si(130.0, "degf"), to_si(55.0, "degf")
    flow, area = to_si(120.0, "cfm"), 3.14159 * 0.1778 * to_si(feet, "ft")
    here = air
    steps = 10_000
    for _ in range(steps):
        here += wall * area / steps * (hot - here) / (flow * 1.2013847 * 1006.0)
    check(
        formula="duct gain",
        source="hand",
        place="balance of heat, piece by piece",
        case=f"R-{insulation:g}, {feet:.0f} ft of 7-inch duct, 120 cfm",
        says=from_si(here - air, "degf_rise"),
        got=from_si(duct_gain.leaving_temperature(air, hot, wall, area, flow) - air, "degf_rise"),
        unit="°F",
        rel=1e-3,
        status="computed",
    )
    assert here - air < (hot - air) * (1.0 - exp(-1.0))
