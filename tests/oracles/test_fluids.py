"""Friction and local losses against ``fluids``, a general library of fluid dynamics (MIT).

Friction is solved there by its own closed form of Colebrook. The local losses that ship were
computed with it: that check only proves the transcription; handbooks check them in
``tests/references``.
"""

from __future__ import annotations

import numpy as np
import pytest

from inchwater.air import STANDARD
from inchwater.parts import coefficients, ducts, flex
from inchwater.units import from_si, to_si

fluids = pytest.importorskip("fluids")

REYNOLDS = (4e3, 6e3, 1e4, 2e4, 3e4, 5e4, 1e5, 2e5, 5e5)
ROUGHNESSES = (0.0, 1e-4, 5e-4, 1e-3, 2e-3, 6e-3, 2e-2)
# Darcy factors recorded from fluids 1.3.1: (Re, ε/D, Colebrook).
RECORDED = [
    (4000, 0, 0.039907),
    (6000, 0.006, 0.042112),
    (10000, 0.001, 0.032382),
    (20000, 0.02, 0.050522),
    (30000, 0.002, 0.028094),
    (50000, 0.0001, 0.021248),
    (100000, 0.001, 0.022175),
    (200000, 0.0005, 0.018820),
    (500000, 0.006, 0.032287),
    (500, 0, 0.128000),
    (1000, 0, 0.064000),
    (2000, 0, 0.032000),
]


@pytest.mark.parametrize("relative", ROUGHNESSES)
@pytest.mark.parametrize("reynolds", REYNOLDS)
def test_darcy_factor(reynolds, relative):
    """The factor is that of fluids' Colebrook within 1e-6."""
    expected = fluids.friction.Colebrook(reynolds, relative)
    assert ducts.friction_factor(reynolds, relative) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(("reynolds", "relative", "factor"), RECORDED)
def test_recorded_factors(reynolds, relative, factor):
    """The factor is the recorded one to its last digit."""
    assert ducts.friction_factor(float(reynolds), relative) == pytest.approx(factor, abs=6e-7)


@pytest.mark.parametrize("relative", ROUGHNESSES)
def test_between_laminar_and_turbulent(relative):
    """At Re 3000 the factor is finite and between the two laws."""
    factor = ducts.friction_factor(3000.0, relative)
    assert 64.0 / 3000.0 < factor < fluids.friction.Colebrook(3000.0, relative)


@pytest.mark.parametrize(
    ("method", "low", "high"),
    [
        ("Haaland", 0.014, 0.013),
        ("Swamee_Jain_1976", 0.007, 0.034),
        ("Churchill_1977", 0.006, 0.031),
    ],
)
def test_other_authors(method, low, high):
    """Explicit formulas stay within their own known error of ours (plus half a percent)."""
    reynolds, relative = np.meshgrid(np.geomspace(4e3, 1e6, 20), np.linspace(0.0, 0.02, 9))
    ours = ducts.friction_factor(reynolds, relative)
    theirs = np.vectorize(getattr(fluids.friction, method))(reynolds, relative)
    error = theirs / ours - 1.0
    assert -low - 0.005 < error.min() < error.max() < high + 0.005


# Airflow [cfm] at 0.05, 0.08, 0.10 in. w.c. per 100 ft, by diameter [in] and roughness [ft];
# recorded from fluids 1.3.1 with SciPy's root finder.
CFM = {
    (4, 0.0003): (25.1, 32.7, 37.1),
    (6, 0.0003): (75.4, 97.9, 111.0),
    (8, 0.0003): (164.0, 212.0, 240.0),
    (12, 0.0003): (486.0, 628.0, 709.0),
    (20, 0.0003): (1896.0, 2443.0, 2755.0),
    (5, 0.003): (39.9, 51.1, 57.4),
    (6, 0.003): (65.2, 83.5, 93.8),
    (8, 0.003): (141.0, 180.0, 203.0),
    (14, 0.003): (629.0, 802.0, 899.0),
    (7, 0.01): (83.4, 106.0, 119.0),
    (16, 0.01): (768.0, 974.0, 1090.0),
}


@pytest.mark.parametrize(
    ("inches", "feet", "rate", "cfm"),
    [
        (d, e, r, q)
        for (d, e), row in CFM.items()
        for r, q in zip((0.05, 0.08, 0.1), row, strict=True)
    ],
)
def test_airflow_at_a_friction_rate(inches, feet, rate, cfm):
    """The recorded airflow makes the friction rate (1 % of flow is 1.9 % of pressure)."""
    drop, _ = ducts.friction_drop(
        to_si(cfm, "cfm"), to_si(inches, "in"), to_si(100.0, "ft"), to_si(feet, "ft"), STANDARD
    )
    assert from_si(float(drop), "inwc") == pytest.approx(rate, rel=0.019)


# D [mm], L/s, Pa/m at roughness 0.09 and 0.9 mm; recorded as above.
SI = [
    (100, 15, 0.6699, 0.9003),
    (150, 50, 0.8130, 1.1180),
    (200, 100, 0.7034, 0.9641),
    (250, 200, 0.8378, 1.1663),
    (300, 300, 0.7218, 0.9990),
    (400, 650, 0.7315, 1.0184),
]


@pytest.mark.parametrize(("mm", "litres", "smooth", "rough"), SI)
def test_si_points(mm, litres, smooth, rough):
    """Pascals per metre (1 %)."""
    for roughness, expected in ((0.09e-3, smooth), (0.9e-3, rough)):
        drop, _ = ducts.friction_drop(litres / 1000.0, mm / 1000.0, 1.0, roughness, STANDARD)
        assert drop == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize(
    ("inches", "flow_cfm", "feet", "exponent"),
    [
        (6, 50, 0.0003, 1.77),
        (6, 110, 0.0003, 1.81),
        (10, 400, 0.0003, 1.83),
        (6, 50, 0.003, 1.88),
        (8, 200, 0.003, 1.93),
        (14, 1000, 0.003, 1.95),
    ],
)
def test_local_exponent_of_friction(inches, flow_cfm, feet, exponent):
    """Drop goes with flow to a power of 1.77–1.95, never exactly 2 (recorded, 0.01)."""
    flow = to_si(flow_cfm, "cfm")
    drop, slope = ducts.friction_drop(flow, to_si(inches, "in"), 10.0, to_si(feet, "ft"), STANDARD)
    assert slope * flow / drop == pytest.approx(exponent, abs=0.01)


# What compression leaves of a run's flow at 0.08 in. w.c. per 100 ft: D [in], compression, cfm.
COMPRESSED = [
    (6, 0.04, 56.6),
    (6, 0.15, 35.2),
    (6, 0.30, 25.6),
    (8, 0.15, 85.2),
    (10, 0.30, 128.7),
    (12, 0.15, 305.2),
]


@pytest.mark.parametrize(("inches", "compression", "cfm"), COMPRESSED)
def test_compressed_flex_at_one_rate(inches, compression, cfm):
    """Stretched friction times the correction makes 0.08 at the recorded flow (1 % of flow)."""
    diameter = to_si(inches, "in")
    drop, _ = ducts.friction_drop(
        to_si(cfm, "cfm"), diameter, to_si(100.0, "ft"), ducts.roughness("flex"), STANDARD
    )
    rate = from_si(float(drop * flex.compression_factor(compression, diameter)), "inwc")
    assert rate == pytest.approx(0.08, rel=0.02)


@pytest.mark.parametrize(
    ("a", "b", "cfm", "hydraulic", "equivalent"),
    [
        (8, 20, 800, 0.07009, 0.07056),
        (8, 12, 500, 0.09359, 0.09419),
        (3.25, 14, 120, 0.05768, 0.05715),
        (8, 24, 900, 0.05866, 0.05905),
    ],
)
def test_two_ways_to_a_rectangular_duct(a, b, cfm, hydraulic, equivalent):
    """Hydraulic diameter with the real velocity, Huebscher's with the real flow (0.5 %)."""
    a, b, flow, rough = to_si(a, "in"), to_si(b, "in"), to_si(cfm, "cfm"), to_si(0.0003, "ft")
    length = to_si(100.0, "ft")
    round_, _ = ducts.friction_drop(
        flow, ducts.equivalent_diameter_rectangular(a, b), length, rough, STANDARD
    )
    assert from_si(float(round_), "inwc") == pytest.approx(equivalent, rel=5e-3)
    diameter = ducts.hydraulic_diameter(a, b)
    real_velocity = flow / (a * b) * ducts.circle_area(diameter)
    real, _ = ducts.friction_drop(real_velocity, diameter, length, rough, STANDARD)
    assert from_si(float(real), "inwc") == pytest.approx(hydraulic, rel=5e-3)


def shipped() -> list[tuple[str, str, float]]:
    """Coefficients that name a call of fluids: (table and key, the call, the value)."""
    rows = []
    for name in ("fittings", "terminals"):
        for key, row in coefficients.table(name).items():
            if row.source.startswith("fluids"):
                rows.append((f"{name} {key}", row.place, row.value))
    return rows


@pytest.mark.parametrize(("key", "call", "value"), shipped())
def test_shipped_coefficients_are_what_their_place_says(key, call, value):
    """The call in the column ``place`` gives the value that ships, to its digits."""
    names = {**vars(fluids.fittings), **vars(fluids.filters)}
    assert eval(call, {"__builtins__": {}}, names) == pytest.approx(value, rel=1e-3), key


# Smooth and mitred bends of three authors, D 200 mm, Re 5e4, f 0.021; recorded from fluids 1.3.1.
@pytest.mark.parametrize(
    ("key", "authors"),
    [
        ("elbow-90-smooth", (0.251, 0.278, 0.255)),
        ("elbow-90-mitred", (1.202, 1.322, 1.451)),
        ("elbow-45-mitred", (0.304, 0.466, 0.363)),
        ("take-off-straight", (0.50, 0.51, 0.57)),
    ],
)
def test_other_authors_of_one_fitting(key, authors):
    """The authors differ by less than twice the spread that the fitting is given."""
    row = coefficients.table("fittings")[key]
    spread = np.log(np.array(authors) / row.value)
    assert np.abs(spread).max() < 2.0 * row.number("sigma_ln")
