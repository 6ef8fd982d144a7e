"""Bends, mitres and changes of section by other authors than ours (computed with fluids 1.3.1).

``fluids`` has several authors for one fitting. Where ours is Rennels' or Crane's, these are Miller,
Ito, Blevins and Idelchik: they show how far authors of one fitting lie apart.
"""

from __future__ import annotations

import math

import pytest

from inchwater.parts import fitting_forms
from inchwater.parts.fittings import fitting

# Round smooth 90° bend of 200 mm, Re 50,000, f 0.021, with its wall's friction: r/D, author, loss.
BENDS = [
    ("elbow-90-smooth-short", 1.0, "miller", 0.369),
    ("elbow-90-smooth-short", 1.0, "ito", 0.331),
    ("elbow-90-smooth", 1.5, "miller", 0.278),
    ("elbow-90-smooth", 1.5, "ito", 0.255),
    ("elbow-90-smooth-long", 2.5, "miller", 0.235),
    ("elbow-90-smooth-long", 2.5, "ito", 0.224),
]


@pytest.mark.parametrize(("key", "radius", "author", "loss"), BENDS)
def test_smooth_bend(check, key, radius, author, loss):
    """With the wall's friction in it all three authors agree within 12 %."""
    check(
        formula="elbow smooth",
        source=author,
        place="bend of 200 mm, Re 50,000, f 0.021",
        case=f"r/D {radius:g}, wall friction in it",
        says=loss,
        got=fitting(key).loss_coefficient,
        rel=0.12,
        status="computed",
    )


@pytest.mark.parametrize(
    ("key", "author", "loss", "tolerance"),
    [
        ("elbow-90-mitred", "miller", 1.322, 0.20),
        ("elbow-90-mitred", "blevins", 1.451, 0.20),
        ("elbow-45-mitred", "miller", 0.466, 0.40),
        ("elbow-45-mitred", "blevins", 0.363, 0.20),
    ],
)
def test_mitred_bend(check, key, author, loss, tolerance):
    """Mitres spread by 20 %, at 45° by 40 %; ours are the lowest, as the sheet-metal table is."""
    check(
        formula="elbow mitred",
        source=author,
        place="mitre of 200 mm",
        case=key.split("-")[1] + "°, no vanes",
        says=loss,
        got=fitting(key).loss_coefficient,
        rel=tolerance,
        status="computed",
    )


@pytest.mark.parametrize(
    ("ratio", "loss"), [(0.2, 0.4229), (0.3, 0.3826), (0.5, 0.2973), (0.7, 0.2027)]
)
def test_abrupt_contraction(check, ratio, loss):
    """Idelchik's 0.5 (1 − r)^0.75 on the smaller section (25 %)."""
    check(
        formula="contraction",
        source="idelchik",
        place="abrupt, 0.5 (1 − r)^0.75",
        case=f"area ratio {ratio:g}",
        says=loss,
        got=fitting_forms.contraction(ratio, math.pi),
        rel=0.25,
        status="computed",
    )


@pytest.mark.parametrize(
    ("degrees", "loss"), [(10, 0.060), (15, 0.085), (20, 0.100), (30, 0.170), (45, 0.255)]
)
def test_tapered_enlargement(check, degrees, loss):
    """Idelchik's conical diffuser of area ratio one half (15 %)."""
    check(
        formula="enlargement tapered",
        source="idelchik",
        place="conical diffuser, area ratio 0.5",
        case=f"{degrees}° between the walls",
        says=loss,
        got=fitting_forms.enlargement(0.5, math.radians(degrees)),
        rel=0.15,
        status="computed",
    )
