"""SMACNA HVAC Air Duct Leakage Test Manual, F = CL·p^0.65 (relation read in several reprints)."""

from __future__ import annotations

import pytest

from inchwater.parts import leaks
from inchwater.units import from_si, to_si

PRESSURES = (0.1, 0.25, 0.5, 1.0, 2.0)  # [in. w.c.]
# Class: cfm per 100 ft2 at these pressures (computed from the relation, two decimals).
TABLE = {
    3: (0.67, 1.22, 1.91, 3.00, 4.71),
    6: (1.34, 2.44, 3.82, 6.00, 9.42),
    12: (2.69, 4.87, 7.65, 12.00, 18.83),
    24: (5.37, 9.75, 15.29, 24.00, 37.66),
    30: (6.72, 12.18, 19.12, 30.00, 47.08),
    48: (10.75, 19.49, 30.59, 48.00, 75.32),
}


@pytest.mark.parametrize(
    ("leakage_class", "inwc", "cfm"),
    [(c, p, f) for c, row in TABLE.items() for p, f in zip(PRESSURES, row, strict=True)],
)
def test_leakage_class(leakage_class, inwc, cfm):
    """Leakage of 100 ft2 of duct, tolerance 0.5 %."""
    found = leaks.leakage_class_flow(leakage_class, to_si(inwc, "inwc"), to_si(100.0, "ft2"))
    assert from_si(float(found), "cfm") == pytest.approx(cfm, rel=5e-3)


@pytest.mark.parametrize(("leakage_class", "cfm"), [(24, 29.24), (12, 14.62), (6, 7.31)])
def test_worked_line(leakage_class, cfm):
    """300 ft2 at 0.25 in. w.c. (0.5 %)."""
    found = leaks.leakage_class_flow(leakage_class, to_si(0.25, "inwc"), to_si(300.0, "ft2"))
    assert from_si(float(found), "cfm") == pytest.approx(cfm, rel=5e-3)


def test_si_form():
    """L/s per m2 = 0.0014068·CL·p^0.65 with p in pascals (computed)."""
    found = leaks.leakage_class_flow(24.0, 100.0, 1.0)
    assert found * 1000.0 == pytest.approx(0.0014068 * 24.0 * 100.0**0.65, rel=5e-4)
    assert found * 1000.0 == pytest.approx(0.6737, rel=5e-4)
