"""Douglas, Gasiorek and Swaffield, Fluid Mechanics, examples 14.5 and 14.6.

Inputs read in a FOSSEE Scilab companion (557); the book's f is Fanning's, a quarter of Darcy's, and
given, so these check local losses, areas and the sum; friction by hand from the given f.
"""

from __future__ import annotations

import math

from inchwater.air import Air
from inchwater.network import solve
from inchwater.network.elements import Local
from inchwater.parts import ducts
from inchwater.units import from_si
from tests.network.builders import ByHand, LinearCurve

AIR = Air(1.2, 1.8e-5)
DARCY = 4.0 * 0.008


def fan_pressure(flow: float, *ducts_in_series: tuple[float, float, float, float]) -> dict:
    """The example as a network: (flow, area, L/D, loss) of each duct before and behind the fan.

    A blower that moves the stated flow whatever the pressure; a duct with another flow than the
    fan's stands for its share of it by the square of the flows.
    """
    steep = LinearCurve.of(
        [(from_si(flow, "cfm") * f, p) for f, p in ((1.0001, 0.0), (0.9999, 20))]
    )
    by_hand = ByHand(steep, air=AIR)
    at = []
    for index, (own, area, over_diameter, loss) in enumerate(ducts_in_series):
        whole = (DARCY * over_diameter + loss) * (own / flow) ** 2
        side = "return" if index == 0 else "supply"
        local = Local(whole, area, by=((f"duct{index}", 1.0),))
        at.append(by_hand.edge(f"duct{index}", side, local=[local]))
    by_hand.opening("inlet", at[0])
    by_hand.run("outlet", *at[1:])
    solution = solve(by_hand.network(), {})
    scale = (flow / float(solution.airflow[0])) ** 2
    sides = {f"duct{i}": scale * float(solution.drop[f"duct{i}"][0]) for i in range(len(at))}
    return {**sides, "fan": scale * float(solution.entry[0])}


def recorded(check, example: str, found: dict, printed: dict) -> None:
    """Each side and the fan go on record, tolerance 0.1 %."""
    for part, says in printed.items():
        check(
            formula="stepped duct",
            source="douglas",
            place=f"example {example}",
            case={"duct0": "inlet side", "duct1": "outlet side"}.get(part, "fan"),
            says=says,
            got=found[part],
            unit="Pa",
            rel=1e-3,
            status="computed",
        )


def test_example_14_5(check):
    """Inlet side 438.58 Pa, outlet side 816.00 Pa, fan 1254.58 Pa (0.1 %)."""
    found = fan_pressure(
        0.8,
        (0.8, ducts.circle_area(0.3), 10.0 / 0.3 + 20.0, 4.0),
        (0.8, 0.4 * 0.2, 30.0 / ducts.hydraulic_diameter(0.4, 0.2), 10.0),
    )
    recorded(check, "14.5", found, {"duct0": 438.58, "duct1": 816.00, "fan": 1254.58})


def test_example_14_6(check):
    """Inlet 471.37 Pa, outlet 213.14 Pa, fan 684.51 Pa (0.1 %)."""
    found = fan_pressure(
        0.8,
        (0.2, ducts.circle_area(0.15), 10.0 / 0.15, 4.0),
        (0.8, ducts.circle_area(0.3), 20.0 / 0.3 + 20.0, 0.0),
    )
    recorded(check, "14.6", found, {"duct0": 471.37, "duct1": 213.14, "fan": 684.51})


def test_the_given_factor_is_plausible():
    """Darcy 0.032 belongs to a rough duct: our factor meets it at a roughness of some 2 mm."""
    reynolds = 1.2 * 0.8 / ducts.circle_area(0.3) * 0.3 / 1.8e-5
    assert ducts.friction_factor(reynolds, 1.5e-3 / 0.3) < DARCY
    assert ducts.friction_factor(reynolds, 3e-3 / 0.3) > DARCY
    assert math.isclose(reynolds, 226_000, rel_tol=0.01)
