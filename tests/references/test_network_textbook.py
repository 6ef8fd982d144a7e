"""Textbook systems solved as whole networks: a fan against a duct, a branching supply."""

import numpy as np
import pytest

from inchwater.air import STANDARD, Air
from inchwater.network import solve
from inchwater.parts.blower_tables import Cell
from inchwater.parts.blowers import tap_curve
from inchwater.units import from_si, to_si
from tests.network.builders import ByHand, LinearCurve

# Çengel and Cimbala, Fluid Mechanics, Example 14-1, as coded in two independent Scilab companions
# (read there, not in the book).  Fan table [cfm, in. w.c.]:
FAN = [(0, 0.90), (250, 0.95), (500, 0.90), (750, 0.75), (1000, 0.40), (1200, 0.0)]
# Entry 1.3, five elbows of 0.21, damper 1.8, and the exit's kinetic energy factor 1.05.
LOSSES = 1.3 + 5 * 0.21 + 1.8 + 1.05


def against_duct(curve):
    by_hand = ByHand(curve, air=Air(1.184, 1.562e-5 * 1.184))
    by_hand.run("duct", by_hand.pipe("duct", 0.230, 13.4, 0.15e-3, LOSSES))
    by_hand.opening("open", by_hand.edge("open", "return"))
    return solve(by_hand.network(), {})


def printed_rows():
    # The table's first cell lies below its second; a blower's usable range begins at the top.
    return [Cell("fan", to_si(p, "inwc"), to_si(q, "cfm")) for q, p in reversed(FAN[1:])]


def operating_point(check, solution, source, place, airflow, pressure, rel, status):
    """Both halves of an operating point go on record."""
    for case, says, got, unit in (
        ("airflow", airflow, from_si(solution.airflow[0], "cfm"), "cfm"),
        ("fan pressure", pressure, from_si(solution.entry[0], "inwc"), "in. w.c."),
    ):
        check(
            formula="fan against duct",
            source=source,
            place=place,
            case=case,
            says=says,
            got=got,
            unit=unit,
            rel=rel,
            status=status,
        )


def test_a_fan_against_a_duct_as_printed(check):
    """The operating point is the book's 650 cfm and 0.83 in. w.c. within 2 %."""
    solution = against_duct(tap_curve(printed_rows(), "fan"))
    operating_point(check, solution, "cengel", "example 14-1, as printed", 650, 0.83, 0.02, "read")


def test_a_fan_of_straight_pieces_against_a_duct(check):
    """With straight pieces between the cells it is the computed 643.1 cfm, 0.8142 in. w.c.

    Computed with SciPy 1.17.1 and fluids 1.3.1 (Colebrook), water of 998 kg/m3: 0.2 % apart in
    the in. w.c. used here.
    """
    solution = against_duct(LinearCurve.of(FAN[1:]))
    operating_point(
        check,
        solution,
        "cengel-computed",
        "example 14-1, straight pieces between the fan's cells",
        643.1,
        0.8142,
        3e-3,
        "computed",
    )


# McQuiston, Parker and Spitler, Heating, Ventilating and Air Conditioning, three-branch supply of
# 400 cfm, read in a worked student solution: chart friction; 1-2 sums to 0.1155 in. w.c. and 1-3
# to 0.1548.  Diameter [in], length [ft], loss coefficient on the duct's own velocity pressure.
BRANCHES = {
    "1-a": (10, 50, 0.85),
    "a-2": (9, 50, 0.002 / (633.79 / 4000) ** 2),
    "a-3": (6, 40, 0.0161 / (611.154 / 4000) ** 2 + 2 * 0.37),
}


def test_a_branching_supply_as_printed(check):
    """Along both paths the drop is the solution's within 6 %: it reads a friction chart."""
    by_hand = ByHand(LinearCurve.of([(399.9999, 0.5), (400.0001, 0.0)]))
    at = {
        key: by_hand.pipe(key, to_si(d, "in"), to_si(length, "ft"), to_si(0.0003, "ft"), loss)
        for key, (d, length, loss) in BRANCHES.items()
    }
    # Branch dampers that bring 280 and 120 cfm to either room, as the example states the flows.
    for room, flow, drop in (("2", 280, 0.05), ("3", 120, 0.011)):
        damper = by_hand.law(f"damper-{room}", to_si(drop, "inwc"), to_si(flow, "cfm"), 2.0)
        by_hand.run(room, at["1-a"], at[f"a-{room}"], damper)
    by_hand.opening("open", by_hand.edge("open", "return"))
    solution = solve(by_hand.network(), {})
    drop = {key: from_si(float(d[0]), "inwc") for key, d in solution.drop.items()}
    flow = {key: from_si(float(q[0]), "cfm") for key, q in solution.flow.items()}
    assert sum(flow.values()) == pytest.approx(400, rel=1e-4)
    assert flow == {"2": pytest.approx(280, rel=0.01), "3": pytest.approx(120, rel=0.02)}
    scale = {"a-2": (280 / flow["2"]) ** 1.9, "a-3": (120 / flow["3"]) ** 1.9}
    for end, says in (("2", 0.1155), ("3", 0.1548)):
        check(
            formula="three branches",
            source="mcquiston",
            place="total of one path",
            case=f"1–{end}, solved as a network",
            says=says,
            got=drop["1-a"] + drop[f"a-{end}"] * scale[f"a-{end}"],
            unit="in. w.c.",
            rel=0.06,
            status="read",
        )


def test_a_tap_along_a_square_law(check):
    """A falling line against a square law: 1000 cfm at 0.500, at 0.8 of the speed 800 at 0.320.

    Closed form: p = 1 − 0.0005 Q against 0.5 (Q/1000)².
    """
    for speed in (1.0, 0.8):
        # At another speed flow goes with it and pressure with its square.
        cells = [(speed * q, speed**2 * (1.0 - 0.0005 * q)) for q in np.linspace(200, 1800, 5)]
        by_hand = ByHand(LinearCurve.of(cells), air=STANDARD)
        law = by_hand.law("all", to_si(0.5, "inwc"), to_si(1000.0, "cfm"), 2.0, "supply")
        by_hand.run("all", law)
        by_hand.opening("open", by_hand.edge("open", "return"))
        solution = solve(by_hand.network(), {})
        for case, says, got, unit in (
            ("airflow", 1000.0 * speed, from_si(solution.airflow[0], "cfm"), "cfm"),
            ("pressure", 0.5 * speed**2, from_si(solution.entry[0], "inwc"), "in. w.c."),
        ):
            check(
                formula="fan line",
                source="hand",
                place="p = 1 − 0.0005 Q against 0.5 (Q/1000)²",
                case=f"{case} at {speed:g} of the speed",
                says=round(says, 6),
                got=got,
                unit=unit,
                rel=1e-6,
                status="computed",
            )
