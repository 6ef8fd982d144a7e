"""NIST SP 811 (2008), appendix B: factors of units that we have from their definitions (memory)."""

from __future__ import annotations

import pytest

from inchwater.units import to_si

FACTORS = [
    ("btuh", "1 Btu/h in W", 0.2930711),
    ("ton", "1 ton of refrigeration in W", 3516.853),
    ("lbft3", "1 lb/ft³ in kg/m³", 16.01846),
    ("cfm", "1 cfm in m³/s", 4.719474e-4),
    ("rpm", "1 rev/min in rad/s", 0.1047198),
]


@pytest.mark.parametrize(("unit", "case", "factor"), FACTORS)
def test_factors(check, unit, case, factor):
    """Seven digits as printed."""
    check(
        formula="units",
        source="nist-811",
        place="appendix B.8",
        case=case,
        says=factor,
        got=to_si(1.0, unit),
        rel=1e-6,
        status="memory",
    )
