"""Rises, heat kits, fan energy: a page's worked example, the trade's 1.08, and sums by hand."""

from __future__ import annotations

import pytest

from inchwater.effects import fan_energy, heating
from inchwater.units import from_si, to_si


def test_the_rise_of_an_electric_example(check):
    """60,171 Btu/h and 1548 cfm on a page are a rise of 36 °F."""
    check(
        formula="furnace rise",
        source="iheatcool",
        place="worked example, backward",
        case="60,171 Btu/h, 1,548 cfm",
        says=36.0,
        got=from_si(
            heating.temperature_rise(to_si(60_171.0, "btuh"), to_si(1548.0, "cfm")), "degf_rise"
        ),
        unit="°F",
        rel=3e-3,
        status="read",
    )


# Btu/h of output, cfm; °F by Btu/h over 1.08 cfm.
RISES = [(64_000, 1000, 59.3), (80_000, 1235, 60.0), (48_000, 700, 63.5), (32_768, 1213, 25.0)]


@pytest.mark.parametrize(("output", "cfm", "rise"), RISES)
def test_rises_by_the_trades_factor(check, output, cfm, rise):
    """°F = Btu/h over 1.08 cfm, worked by hand."""
    found = heating.temperature_rise(to_si(float(output), "btuh"), to_si(float(cfm), "cfm"))
    check(
        formula="furnace rise",
        source="hand",
        place="°F = Btu/h over 1.08 cfm",
        case=f"{output:,} Btu/h, {cfm:,} cfm",
        says=rise,
        got=from_si(found, "degf_rise"),
        unit="°F",
        rel=4e-3,
        status="computed",
    )


@pytest.mark.parametrize(("output", "rise"), [(5_700, 13.0), (13_400, 31.0)])
def test_the_rise_of_heat_pumps(check, output, rise):
    """Each ton with its 400 cfm: 13 °F on a cold morning, 31 °F on a mild afternoon."""
    found = heating.temperature_rise(to_si(float(output), "btuh"), to_si(400.0, "cfm"))
    check(
        formula="furnace rise",
        source="rise-article",
        place="cold morning and mild afternoon",
        case=f"{output:,} Btu/h a ton, 400 cfm a ton",
        says=rise,
        got=from_si(found, "degf_rise"),
        unit="°F",
        abs=0.5,
        status="read",
    )


# kW; cfm at rises of 50, 60 and 75 °F, by kW × 3412 over 1.08 °F.
KITS = [(5, 316, 263, 211), (10, 632, 527, 421), (15, 948, 790, 632), (20, 1264, 1053, 843)]


@pytest.mark.parametrize("row", KITS, ids=lambda row: f"{row[0]} kW")
def test_least_air_of_heat_kits(check, row):
    """cfm = kW × 3412 over 1.08 °F, worked by hand and rounded to 1 cfm."""
    power, *airflows = row
    for rise, cfm in zip((50.0, 60.0, 75.0), airflows, strict=True):
        found = heating.least_airflow(to_si(float(power), "kw"), to_si(rise, "degf_rise"))
        check(
            formula="kit airflow",
            source="hand",
            place="cfm = kW × 3412 over 1.08 °F",
            case=f"{power} kW, {rise:.0f} °F",
            says=cfm,
            got=from_si(found, "cfm"),
            unit="cfm",
            rel=4e-3,
            status="computed",
        )


@pytest.mark.parametrize(("volts", "share"), [(230, 0.918), (220, 0.840), (208, 0.751)])
def test_electric_heat_on_less_voltage(check, volts, share):
    """Resistances: the square of the voltage over 240 V."""
    check(
        formula="kit voltage",
        source="hand",
        place="square of the voltages",
        case=f"{volts} V on a 240 V kit",
        says=share,
        got=heating.kit_heat(1.0, float(volts), 240.0),
        abs=6e-4,
        status="computed",
    )


def test_a_years_energy_and_money(check):
    """500 W for 1,000 h at 0.15 a kilowatt-hour are 75 dollars."""
    energy = fan_energy.yearly_energy(500.0, to_si(1000.0, "h"))
    check(
        formula="fan energy",
        source="hand",
        place="watts times hours times price",
        case="500 W, 1,000 h, 0.15 USD/kWh",
        says=75.0,
        got=fan_energy.cost(energy, to_si(0.15, "usd_kwh")),
        unit="USD",
        rel=1e-6,
        status="computed",
    )


def test_a_circuit_that_carries_more_runs_less(check):
    """2,000 h at 0.95 of the capacity are 1,900 h at all of it."""
    check(
        formula="running time",
        source="hand",
        place="heat moved is the same",
        case="0.95 to 1 of the capacity",
        says=1900.0,
        got=fan_energy.running_after(2000.0, 0.95, 1.0),
        unit="h",
        rel=1e-6,
        status="computed",
    )


# cfm, in. w.c., W; air power over watts.
SHARES = [(1200, 0.5, 600, 0.118), (1200, 0.5, 450, 0.157), (1200, 0.8, 600, 0.188)]


@pytest.mark.parametrize(("cfm", "inwc", "watts", "share"), SHARES)
def test_air_power_by_hand(check, cfm, inwc, watts, share):
    """cfm times in. w.c. over 8.51 W."""
    found = fan_energy.air_power_share(to_si(float(cfm), "cfm"), to_si(inwc, "inwc"), float(watts))
    check(
        formula="air power",
        source="hand",
        place="cfm times in. w.c. over 8.51 are watts",
        case=f"{cfm} cfm, {inwc} in. w.c., {watts} W",
        says=share,
        got=found,
        abs=1e-3,
        status="computed",
    )


def test_usual_furnace_blowers(check):
    """10 to 15 % of the power reaches the air of a blower that moves 2 cfm a watt at 0.5."""
    check(
        formula="air power",
        source="walker",
        place="abstract",
        case="2 cfm a watt at 0.5 in. w.c.",
        says=(0.10, 0.15),
        got=fan_energy.air_power_share(to_si(1200.0, "cfm"), to_si(0.5, "inwc"), 600.0),
        status="read",
    )
