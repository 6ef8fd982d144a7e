"""SMACNA HVAC Air Duct Leakage Test Manual, F = CL·p^0.65 (relation read in several reprints).

It is our own source, so that its table only checks units and typing; the handbook's SI form, with
its own rounded constant, checks it.
"""

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


# Class, pressure [Pa], L/s per m2 = CL p^0.65 / 710, worked out by hand.
METRIC = [(3, 250, 0.1530), (6, 100, 0.1687), (12, 25, 0.1370), (24, 100, 0.6746), (48, 250, 2.448)]


@pytest.mark.parametrize(("leakage_class", "pascal", "litres"), METRIC)
def test_metric_form(check, leakage_class, pascal, litres):
    """Leakage class in SI: CL = 710 Q / p^0.65 with Q in L/s per m2 (0.3 %)."""
    found = leaks.leakage_class_flow(leakage_class, float(pascal), 1.0)
    check(
        formula="leakage class",
        source="ashrae-2009",
        place="duct leakage classification, CL = 710 Q / Δp^0.65",
        case=f"class {leakage_class}, {pascal} Pa",
        says=litres,
        got=1000.0 * float(found),
        unit="L/s per m²",
        rel=3e-3,
        status="memory",
    )
