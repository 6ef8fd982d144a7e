"""ASHRAE Standard 152 and ASTM E1554: residential duct leakage with exponent 0.60 (memory)."""

from __future__ import annotations

import pytest

from inchwater.parts import leaks
from inchwater.units import from_si, to_si

PRESSURES = (5.0, 10.0, 12.5, 25.0, 50.0, 75.0, 100.0, 125.0)
# Flow over that of the 25 Pa test, by exponent (computed).
TABLE = {
    0.5: (0.4472, 0.6325, 0.7071, 1.0, 1.4142, 1.7321, 2.0000, 2.2361),
    0.6: (0.3807, 0.5771, 0.6598, 1.0, 1.5157, 1.9332, 2.2974, 2.6265),
    0.65: (0.3513, 0.5512, 0.6373, 1.0, 1.5692, 2.0423, 2.4623, 2.8466),
}


@pytest.mark.parametrize(
    ("exponent", "pascal", "factor"),
    [(n, p, f) for n, row in TABLE.items() for p, f in zip(PRESSURES, row, strict=True)],
)
def test_from_a_25_pascal_test_to_operation(exponent, pascal, factor):
    """The multiplier, tolerance 0.1 %."""
    coefficient = leaks.leak_coefficient(1.0, 0.05, 25.0, exponent)
    assert leaks.leak_flow(pascal, coefficient, exponent) / 0.05 == pytest.approx(factor, rel=1e-3)


def test_100_cfm25_at_a_quarter_inch():
    """172.9 cfm with 0.60, 181.0 cfm with 0.65 at 0.25 in. w.c. (0.2 %)."""
    for exponent, cfm in ((leaks.exponent(), 172.9), (0.65, 181.0)):
        coefficient = leaks.leak_coefficient(1.0, to_si(100.0, "cfm"), 25.0, exponent)
        found = leaks.leak_flow(to_si(0.25, "inwc"), coefficient, exponent)
        assert from_si(float(found), "cfm") == pytest.approx(cfm, rel=2e-3)
