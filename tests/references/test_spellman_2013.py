"""Spellman, Mathematics and Statistics for the Environment, section 15.6.5 (read in a reprint)."""

from __future__ import annotations

from inchwater import air
from inchwater.units import from_si, to_si

INHG = 3386.39  # [Pa]


def test_weight_density_of_standard_air(check):
    """0.075 lb/ft3 at 70 °F and 29.92 in. Hg; printed to two digits."""
    found = air.density(to_si(70.0, "degf"), 29.92 * INHG)
    check(
        formula="standard air",
        source="spellman",
        place="section 15.6.5",
        case="density at 70 °F and 29.92 in. Hg",
        says=0.075,
        got=from_si(found, "lbft3"),
        unit="lb/ft³",
        rel=7e-3,
        status="read",
    )
    check(
        formula="standard air",
        source="spellman",
        place="section 15.6.5",
        case="the convention itself",
        says=0.075,
        got=from_si(air.STANDARD.density, "lbft3"),
        unit="lb/ft³",
        rel=1e-5,
        status="read",
    )


def test_temperature_factor(check):
    """530/550 at 90 °F is 0.9636 (0.1 %; the book's Rankine offset is whole)."""
    ratio = air.density(to_si(90.0, "degf"), 1e5) / air.density(to_si(70.0, "degf"), 1e5)
    check(
        formula="density dry",
        source="spellman",
        place="example 15.5",
        case="90 °F over 70 °F, 530/550",
        says=0.9636,
        got=ratio,
        rel=1e-3,
        status="read",
    )


def test_example_15_5(check):
    """90 °F and 27.50 in. Hg: the printed factor is 0.88, its own arithmetic gives 0.8857."""
    ratio = air.density(to_si(90.0, "degf"), 27.50 * INHG) / air.density(
        to_si(70.0, "degf"), 29.92 * INHG
    )
    for says, tolerance, case in (
        (0.88, 0.006, "as printed"),
        (0.8857, 1e-3, "its arithmetic carried out"),
    ):
        check(
            formula="density altitude",
            source="spellman",
            place="example 15.5",
            case=f"90 °F and 27.50 in. Hg, {case}",
            says=says,
            got=ratio,
            abs=tolerance,
            status="read",
        )
