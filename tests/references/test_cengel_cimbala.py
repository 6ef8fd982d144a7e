"""Çengel and Cimbala, Fluid Mechanics, examples 14-1 and 8-4 (inputs read in FOSSEE companions)."""

from __future__ import annotations

import numpy as np
import pytest

from inchwater.air import Air
from inchwater.parts import ducts
from inchwater.units import to_si

AIR = Air(1.184, 1.184 * 1.562e-5)
DIAMETER, LENGTH, ROUGHNESS = 0.230, 13.4, 0.15e-3
LOSSES = 1.05 + 1.3 + 5 * 0.21 + 1.8  # exit energy, entry, five elbows, damper
# The book turns heads into inches with water of 998 kg/m3 and g 9.81.
INWC = 998.0 * 9.81 * 0.0254


def required(flow: float) -> float:
    """Pressure that the duct of example 14-1 needs [Pa]."""
    friction, _ = ducts.friction_drop(flow, DIAMETER, LENGTH, ROUGHNESS, AIR)
    local, _ = ducts.local_drop(flow, ducts.circle_area(DIAMETER), LOSSES, AIR)
    return float(friction + local)


@pytest.mark.parametrize(
    ("cfm", "inwc"),
    [(200, 0.08154), (400, 0.31869), (600, 0.70981), (650, 0.83159), (700, 0.96297)],
)
def test_required_pressure(check, cfm, inwc):
    """In. w.c. over cfm, computed with Colebrook from the read inputs (0.1 %)."""
    check(
        formula="fan against duct",
        source="cengel-computed",
        place="pressure that the duct of example 14-1 needs",
        case=f"{cfm} cfm",
        says=inwc,
        got=required(to_si(cfm, "cfm")) / INWC,
        unit="in. w.c.",
        rel=1e-3,
        status="computed",
    )


def test_example_8_4(check):
    """0.35 m3/s through 150 m with 20 m of air lost needs D 0.267 m, f 0.0180 (printed; memory)."""
    nu = 1.655e-5
    thick = Air(1.145, 1.145 * nu)
    loss = 20.0 * 1.145 * 9.81
    diameters = np.linspace(0.25, 0.29, 4001)
    drop, _ = ducts.friction_drop(0.35, diameters, 150.0, 0.0, thick)
    found = float(np.interp(-loss, -drop, diameters))
    velocity = 0.35 / ducts.circle_area(found)
    reynolds = velocity * found / nu
    assert reynolds == pytest.approx(100_750, rel=2e-3)
    for formula, case, says, got, unit in (
        ("friction diameter", "0.35 m³/s, 150 m, 20 m of air lost, smooth", 0.267, found, "m"),
        (
            "friction smooth",
            "Re 100,750",
            0.0180,
            float(ducts.friction_factor(reynolds, 0.0)),
            "",
        ),
    ):
        check(
            formula=formula,
            source="cengel",
            place="example 8-4",
            case=case,
            says=says,
            got=got,
            unit=unit,
            rel=3e-3,
            status="memory",
        )
