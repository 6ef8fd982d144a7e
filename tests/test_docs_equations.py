"""The equations of docs/parts, typed as a reader would from the page, give what the modules give.

Coefficients come from the tables that stand on the same pages.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from inchwater import air
from inchwater.parts import (
    bypasses,
    coefficients,
    coils,
    dampers,
    ducts,
    filters,
    fitting_forms,
    flex,
    heaters,
    leaks,
    loading,
    transfers,
    voltage,
)
from inchwater.parts.laws import PowerLaw
from inchwater.parts.sections import Section
from inchwater.parts.tees import tee
from inchwater.units import to_si

EXACT = 1e-9


def of(table: str):
    """The values of a table by key, as a page shows them."""
    return lambda key: coefficients.value(table, key)


def test_friction_as_on_the_page_of_ducts():
    """Colebrook and Darcy–Weisbach on the velocity; 64/Re when laminar."""
    rho, mu = air.STANDARD.density, air.STANDARD.viscosity
    diameter, length, flow, wall = 0.2, 10.0, 0.1, ducts.roughness("flex")
    velocity = flow / (math.pi / 4 * diameter**2)
    reynolds = rho * velocity * diameter / mu
    factor = 0.03
    for _ in range(50):
        inside = wall / (3.7 * diameter) + 2.51 / (reynolds * math.sqrt(factor))
        factor = (-2 * math.log10(inside)) ** -2
    drop = factor * length / diameter * rho / 2 * velocity**2
    given = ducts.friction_drop(flow, diameter, length, wall, air.STANDARD)[0]
    assert given == pytest.approx(drop, rel=1e-7)
    assert ducts.friction_factor(1500.0, 0.01) == pytest.approx(64 / 1500.0, rel=EXACT)


@pytest.mark.parametrize(("shape", "a", "b"), [("rectangular", 0.4, 0.2), ("oval", 0.4, 0.2)])
def test_sections_as_on_their_page(shape, a, b):
    """Area, perimeter, hydraulic and equivalent diameter of a rectangle and an oval."""
    value = of("sections")
    if shape == "rectangular":
        area, around, sides = a * b, 2 * (a + b), a + b
    else:
        area = math.pi / 4 * b**2 + b * (a - b)
        around = sides = math.pi * b + 2 * (a - b)
    size = value(f"{shape}.constant") * area ** value("area exponent")
    section = Section(shape, a, b)
    assert section.area == pytest.approx(area, rel=EXACT)
    assert section.hydraulic_diameter == pytest.approx(4 * area / around, rel=EXACT)
    assert section.equivalent_diameter == pytest.approx(
        size / sides ** value("perimeter exponent"), rel=EXACT
    )


def test_flex_as_on_its_page():
    """The correction by compression, and the length of a parabola."""
    value = of("flex")
    given = flex.compression_factor(0.2, 0.15)
    decay = math.exp(-0.15 / value("decay length"))
    assert given == pytest.approx(1 + value("factor per compression") * 0.2 * decay, rel=EXACT)
    x = 4 * 0.1 / 1.2
    length = 0.5 * (math.sqrt(1 + x**2) + math.asinh(x) / x)
    assert flex.sag_length_factor(0.1, 1.2) == pytest.approx(length, rel=EXACT)


def test_bends_and_elbows_as_on_the_page_of_fittings():
    """Rennels' bend, Idelchik's square and rounded elbows."""
    value = of("fittings_forms")
    angle, radius = math.radians(60.0), 1.5
    s = math.sin(angle / 2)
    f = float(ducts.friction_factor(5e4, 9e-5 / 0.2))
    bend = (
        f * angle * radius
        + (value("bend.base") + value("bend.friction") * f) * s
        + value("bend.turn")
        * f
        * (math.sqrt(s) + s)
        / radius ** (value("bend.power") * angle / math.pi)
    )
    assert fitting_forms.bend(angle, radius, 0.2, 9e-5, 5e4) == pytest.approx(bend, rel=EXACT)
    square = (
        (value("mitre.base") + value("mitre.angle") / 60.0)
        * (value("mitre.second") * s**2 + value("mitre.fourth") * s**4)
        * (value("mitre.square") - value("mitre.side") * math.log(2.0))
    )
    assert fitting_forms.mitre(angle, 2.0) == pytest.approx(square, rel=EXACT)
    rounded = (
        value("radius.turn")
        * radius ** -value("radius.wide power")
        * (value("radius.angle") * math.sin(angle))
        * max(
            value("radius.high base") + value("radius.high side") / 2.0,
            value("radius.very high base") - value("radius.very high side") / 2.0,
        )
        * max(1.0, value("radius.reynolds") / 5e4 ** value("radius.reynolds power"))
    )
    given = fitting_forms.rounded_elbow(angle, radius, 2.0, 5e4)
    assert given == pytest.approx(rounded, rel=EXACT)


def test_changes_of_section_as_on_the_page_of_fittings():
    """Rennels' contraction and the enlargement softened by its angle, on the small section."""
    value = of("fittings_forms")
    angle, ratio = math.radians(40.0), 0.5
    s, beta = math.sin(angle / 2), math.sqrt(ratio)
    free = 1 - value("contraction.square") * beta**2 - value("contraction.fifth") * beta**5
    opened = (angle / math.pi) ** value("contraction.angle power")
    jet = 1 + value("contraction.jet") * opened * free
    narrowed = value("contraction.loss") * s * (1 - beta**5) * jet**2 + (jet - 1) ** 2
    assert fitting_forms.contraction(ratio, angle) == pytest.approx(narrowed, rel=EXACT)
    widened = min(value("enlargement.angle") * s, 1.0) * (1 - ratio) ** 2
    assert fitting_forms.enlargement(ratio, angle) == pytest.approx(widened, rel=EXACT)


# Area ratios at which no two of Crane's forms are blended.
@pytest.mark.parametrize("a", [0.2, 0.45])
@pytest.mark.parametrize("q", [0.1, 0.3, 0.7])
def test_tees_as_on_their_page(a, q):
    """Every form by the branch's share q; the run's own share is what is left."""
    value = of("tees_forms")
    size = "narrow" if a < 0.35 else "wide"
    big_g = max(value(f"{size}.start") - value(f"{size}.slope") * q, value(f"{size}.least"))
    big_c = value("joining.narrow")
    big_m = value("run.narrow")
    if size == "wide":
        big_c = max(value("joining.start") * (1 - q), value("joining.least"))
        big_m = (value("run.below") if q < 0.5 else value("run.above")) * (2 * q - 1)
    cos = math.cos(math.radians(45.0))
    square = value("square.turn") if a < value("square.small") else None
    expected = {
        "take-off-45": big_g * (1 + (q / a) ** 2 - 2 * (q / a) * cos),
        "past-take-off": big_m * q**2,
        "join-45": big_c * (1 + (q / a) ** 2 - 2 * (1 - q) ** 2 - 2 * cos * q**2 / a),
        "past-join-45": 1 - (1 - q) ** 2 - 2 * cos * q**2 / a,
        "past-join-90": value("joining.run start") * q - q**2,
        "end-tee-leg": 1 + value("end.split") * (q / a) ** 2,
        "end-tee-join": big_c * (1 + (1 + value("end.joining") * (q**2 - q)) / a**2),
    }
    if square is not None:
        expected["take-off-90"] = 1 + square * (q / a) ** 2
    for key, loss in expected.items():
        share = q if tee(key).leg == "branch" else 1.0 - q
        # The end tee's joining legs fade with their own share, as C does everywhere.
        assert float(tee(key).loss(share, a)) == pytest.approx(loss, rel=EXACT, abs=EXACT), key


@pytest.mark.parametrize("degrees", [0.0, 5.0, 40.0, 70.0, 90.0])
def test_dampers_as_on_their_page(degrees):
    """A straight line in the logarithm, with parabolas to the open and the shut blade."""
    one = dampers.damper("round")
    angle = math.radians(degrees)
    m = math.log(one.high.loss_coefficient / one.low.loss_coefficient)
    m /= one.high.angle - one.low.angle

    def bend(end, joint):
        away = end.angle - joint.angle
        rise = math.log(end.loss_coefficient / joint.loss_coefficient)
        return (rise - m * away) / away**2

    line = math.log(one.low.loss_coefficient) + m * (angle - one.low.angle)
    line += bend(one.open, one.low) * max(one.low.angle - angle, 0.0) ** 2
    line += bend(one.shut, one.high) * max(angle - one.high.angle, 0.0) ** 2
    assert float(dampers.damper_loss("round", angle)[0]) == pytest.approx(math.exp(line), rel=EXACT)


def test_power_laws_as_on_their_pages():
    """Filters by class and with dust, coils, heat kits, a humidifier's pad, a law in thin air."""
    law, _ = filters.filter_law(0.5, 0.6, "pleat-1in-merv11", 2)
    row = coefficients.table("filters")["pleat-1in-merv11"]
    velocity = 0.5 / (0.5 * 0.6 * 2) / to_si(300.0, "fpm")
    assert law.drop(0.5) == pytest.approx(row.value * velocity ** row.number("exponent"))
    aged = of("filter_loading")
    assert loading.hours_factor(500.0, row.key)[0] == pytest.approx(1 + 500 / aged("hours.1"))
    grown = loading.dust_factor(0.05, 0.5, 0.6, row.key)[0]
    assert grown == pytest.approx(1 + 0.05 / (aged("dust.1") * 0.3))
    flat = loading.loaded_law(law, 2.0, 0.5).exponent
    assert flat == pytest.approx((law.exponent + (2.0 - 1.0) * aged("exponent.cake")) / 2.0)
    coil, capacity = of("coils"), to_si(3.0, "ton")
    nominal = coil("airflow per capacity") * capacity
    dry = coil("dry") * (0.4 / nominal) ** coil("exponent")
    assert coils.coil_law(capacity, wet=False)[0].drop(0.4) == pytest.approx(dry)
    assert coils.fouling_factor(3.0)[0] == pytest.approx(1 + 3.0 / coil("doubling"))
    kit = of("heaters")
    heat = (kit("frame") + kit("elements") * 8e3 / capacity) * (
        0.4 / (kit("airflow per capacity") * capacity)
    ) ** kit("exponent")
    assert heaters.heater_law(8e3, capacity)[0].drop(0.4) == pytest.approx(heat)
    pad = of("bypasses")
    wet = pad("humidifier.drop") * (0.05 / pad("humidifier.airflow")) ** pad("humidifier.exponent")
    assert bypasses.humidifier_law()[0].drop(0.05) == pytest.approx(wet)
    thin = air.Air(1.0, 1.8e-5)
    ratio = thin.density / air.STANDARD.density, thin.viscosity / air.STANDARD.viscosity
    scaled = 50.0 * ratio[0] ** 0.4 * ratio[1] ** 0.6
    assert PowerLaw(50.0, 1.4).in_air(thin).coefficient == pytest.approx(scaled, rel=EXACT)


def test_leaks_and_openings_as_on_their_pages():
    """A power of the pressure, a class by surface, a sharp-edged gap below a door."""
    assert leaks.leak_flow(30.0, 0.01, 0.6) == pytest.approx(0.01 * 30.0**0.6)
    n = coefficients.value("leaks", "sheet-metal exponent")
    classed = 24 * to_si(1.0, "cfm") * (40.0 / to_si(1.0, "inwc")) ** n * 20.0 / to_si(100.0, "ft2")
    assert leaks.leakage_class_flow(24.0, 40.0, 20.0) == pytest.approx(classed)
    speed = math.sqrt(2 * 25.0 / air.STANDARD.density)
    hole = 0.05 / (coefficients.value("leaks", "hole discharge") * speed)
    assert leaks.hole_area(0.05, 25.0) == pytest.approx(hole)
    gap = 0.8 * 0.02 * coefficients.value("transfers", "undercut.discharge")
    drop = air.STANDARD.density / 2 * (0.02 / gap) ** 2
    assert transfers.undercut_law(0.8, 0.02)[0].drop(0.02) == pytest.approx(drop)


def test_voltage_as_on_the_page_of_blowers():
    """A power of the voltage through the factor at the tables' low voltage."""
    value = of("blowers")
    exponent = math.log(value("low voltage factor")) / math.log(value("low voltage ratio"))
    given = voltage.voltage_factor("psc", 215.0, 230.0)[0]
    assert given == pytest.approx((215.0 / 230.0) ** exponent)
    assert np.all(np.asarray(voltage.voltage_factor("constant-torque", 215.0, 230.0)[0]) == 1.0)
