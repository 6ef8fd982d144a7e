"""Friction factors of other authors and of a library, and friction rates worked out apart.

Colebrook's implicit equation is ours; ``fluids`` 1.3.1 solves the same one with its own code, the
explicit formulas and the laws of smooth and of rough pipe are other equations.
"""

from __future__ import annotations

import numpy as np
import pytest

from inchwater.air import STANDARD
from inchwater.parts import ducts
from inchwater.units import from_si, to_si


@pytest.mark.parametrize("reynolds", [500, 1000, 1500])
def test_laminar(check, reynolds):
    """64/Re, as the library has it."""
    check(
        formula="friction laminar",
        source="fluids",
        place="friction_factor, laminar",
        case=f"Re {reynolds:,}",
        says={500: 0.128, 1000: 0.064, 1500: 0.0426667}[reynolds],
        got=ducts.friction_factor(float(reynolds), 0.001),
        rel=1e-5,
        status="computed",
    )


def test_between_the_regimes(check):
    """No formula is right between: ours lies between the laminar and the turbulent line."""
    for reynolds, laminar, turbulent in ((2500, 0.0256, 0.04605), (3000, 0.02133, 0.043519)):
        check(
            formula="friction transition",
            source="fluids",
            place="laminar and Colebrook, smooth",
            case=f"Re {reynolds:,}",
            says=(laminar, turbulent),
            got=ducts.friction_factor(float(reynolds), 0.0),
            status="computed",
        )


# Re, relative roughness, Darcy factor of Colebrook's equation.
COLEBROOK = [
    (4000, 0.0001, 0.040008),
    (6000, 0.006, 0.042112),
    (10_000, 0.0005, 0.031644),
    (10_000, 0.02, 0.052275),
    (20_000, 0.006, 0.035838),
    (30_000, 0.001, 0.025970),
    (50_000, 0.0005, 0.022565),
    (50_000, 0.006, 0.033731),
    (100_000, 0.0001, 0.018514),
    (100_000, 0.002, 0.025107),
    (200_000, 0.0005, 0.018820),
    (500_000, 0.02, 0.048716),
]


@pytest.mark.parametrize(("reynolds", "roughness", "factor"), COLEBROOK)
def test_the_same_equation_by_another_hand(check, reynolds, roughness, factor):
    """The library's exact solution to its last printed digit."""
    check(
        formula="friction turbulent",
        source="fluids",
        place="friction_factor(Method='Colebrook')",
        case=f"Re {reynolds:,}, ε/D {roughness:g}",
        says=factor,
        got=ducts.friction_factor(float(reynolds), roughness),
        rel=3e-5,
        status="computed",
    )


# Another author's explicit formula in the range of house ducts, worked out with the library.
EXPLICIT = [
    ("swamee-jain", 0.02, 20_000, 0.0005, 0.027016),
    ("swamee-jain", 0.02, 100_000, 0.002, 0.025333),
    ("churchill", 0.02, 20_000, 0.006, 0.036396),
    ("churchill", 0.02, 100_000, 0.0005, 0.020420),
]


@pytest.mark.parametrize(("author", "tolerance", "reynolds", "roughness", "factor"), EXPLICIT)
def test_other_formulas(check, author, tolerance, reynolds, roughness, factor):
    """Explicit formulas lie up to 2 % above Colebrook in the range of house ducts."""
    check(
        formula="friction turbulent",
        source=author,
        place="explicit formula",
        case=f"Re {reynolds:,}, ε/D {roughness:g}",
        says=factor,
        got=ducts.friction_factor(float(reynolds), roughness),
        rel=tolerance,
        status="computed",
    )


# f = 0.3164 / Re^0.25 worked out; and the factors of the smooth line as tables print them.
SMOOTH = [
    ("blasius", "0.3164 Re^−0.25", 10_000, 0.03164, 0.03, "memory"),
    ("blasius", "0.3164 Re^−0.25", 50_000, 0.02116, 0.03, "memory"),
    ("nikuradse", "law of smooth pipe, 1/√f = 2 log(Re √f) − 0.8", 10_000, 0.0309, 0.005, "memory"),
    (
        "nikuradse",
        "law of smooth pipe, 1/√f = 2 log(Re √f) − 0.8",
        100_000,
        0.0180,
        0.005,
        "memory",
    ),
    (
        "nikuradse",
        "law of smooth pipe, 1/√f = 2 log(Re √f) − 0.8",
        1_000_000,
        0.01165,
        0.005,
        "memory",
    ),
]


@pytest.mark.parametrize(("author", "place", "reynolds", "factor", "tolerance", "status"), SMOOTH)
def test_smooth(check, author, place, reynolds, factor, tolerance, status):
    """With no roughness Colebrook's is the law of smooth pipe; Blasius' is an older fit."""
    check(
        formula="friction smooth",
        source=author,
        place=place,
        case=f"Re {reynolds:,}",
        says=factor,
        got=ducts.friction_factor(float(reynolds), 0.0),
        rel=tolerance,
        status=status,
    )


# 1/√f = 1.74 − 2 log10(2 ε/D), worked out by hand.
@pytest.mark.parametrize(
    ("roughness", "factor"), [(0.001, 0.01963), (0.01, 0.03788), (0.02, 0.04861), (0.05, 0.07149)]
)
def test_fully_rough(check, roughness, factor):
    """At very large Reynolds numbers only the wall counts (0.3 %)."""
    check(
        formula="friction rough",
        source="nikuradse",
        place="1/√f = 1.74 − 2 log(2 ε/D)",
        case=f"ε/D {roughness:g}",
        says=factor,
        got=ducts.friction_factor(1e9, roughness),
        rel=3e-3,
        status="memory",
    )


# D [in], friction rate [in. w.c. per 100 ft], roughness [ft], airflow [cfm].
RATES = [
    (4, 0.10, 0.0003, 37.1),
    (6, 0.05, 0.003, 65.2),
    (6, 0.10, 0.0003, 111),
    (7, 0.08, 0.003, 126),
    (8, 0.08, 0.0003, 212),
    (8, 0.08, 0.003, 180),
    (8, 0.08, 0.01, 152),
    (10, 0.10, 0.003, 367),
    (12, 0.08, 0.0003, 628),
    (14, 0.05, 0.003, 629),
    (16, 0.10, 0.0003, 1524),
    (20, 0.08, 0.0003, 2443),
]


@pytest.mark.parametrize(("inches", "rate", "feet", "cfm"), RATES)
def test_airflow_at_a_friction_rate(check, inches, rate, feet, cfm):
    """Galvanised, stretched flex and rough duct, at the rates that houses are sized by (0.6 %)."""
    flows = np.linspace(0.5, 2.0, 3001) * to_si(float(cfm), "cfm")
    drop, _ = ducts.friction_drop(
        flows, to_si(inches, "in"), to_si(100.0, "ft"), to_si(feet, "ft"), STANDARD
    )
    check(
        formula="friction rate",
        source="fluids-scipy",
        place="Darcy and Colebrook, solved for the flow",
        case=f"{inches} in, {rate:g} in. w.c. per 100 ft, ε {feet:g} ft",
        says=cfm,
        got=from_si(float(np.interp(to_si(rate, "inwc"), drop, flows)), "cfm"),
        unit="cfm",
        rel=6e-3,
        status="computed",
    )


# D [in], cfm, roughness [ft], power of the airflow that the pressure goes with there.
POWERS = [
    (6, 50, 0.0003, 1.77),
    (6, 110, 0.0003, 1.81),
    (10, 400, 0.0003, 1.83),
    (16, 1500, 0.0003, 1.85),
    (6, 50, 0.003, 1.88),
    (8, 200, 0.003, 1.93),
    (14, 1000, 0.003, 1.95),
]


@pytest.mark.parametrize(("inches", "cfm", "feet", "power"), POWERS)
def test_the_slope_that_the_solver_uses(check, inches, cfm, feet, power):
    """The slope handed to the solver is that of the curve: pressure goes with airflow^n."""
    flow = to_si(float(cfm), "cfm")
    drop, slope = ducts.friction_drop(
        flow, to_si(inches, "in"), to_si(100.0, "ft"), to_si(feet, "ft"), STANDARD
    )
    check(
        formula="friction slope",
        source="fluids-scipy",
        place="central difference of Darcy and Colebrook",
        case=f"{inches} in, {cfm} cfm, ε {feet:g} ft",
        says=power,
        got=slope * flow / drop,
        abs=0.01,
        status="computed",
    )
