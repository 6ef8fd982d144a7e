"""Sentences whose airflows are rounded to what their range bears."""

from __future__ import annotations

import pytest

from inchwater.findings import told
from inchwater.findings.types import near, rounded_airflow
from inchwater.quantity import Estimate
from inchwater.units import from_si
from tests.solved import cfm, inwc


@pytest.mark.parametrize(
    ("value", "width", "shown"),
    [(743.0, 170, 745), (743.0, 0, 745), (743.0, 250, 740), (743.0, 600, 750), (743.0, 1500, 750)],
)
def test_an_airflow_is_rounded_by_the_width_of_its_range(value, width, shown):
    """The step is the largest of 5, 10, 25, 50 cfm up to a twentieth of the width, 5 at least."""
    found = rounded_airflow(cfm(value), cfm(width), "ip")
    assert from_si(found, "cfm") == pytest.approx(shown)


def test_each_system_rounds_by_its_own_steps():
    """Inch-pound and SI each show round numbers, not converted ones."""
    flow = Estimate(cfm(743), cfm(660), cfm(830), "airflow")
    said = told("About {q} leaves the blower.", q=flow)
    assert said.text("ip") == "About 745 cfm leaves the blower."
    assert said.text("si") == "About 350 L/s leaves the blower."


def test_a_pressure_is_left_as_it_is():
    """Only airflows are rounded."""
    pressure = Estimate(inwc(0.713), inwc(0.6), inwc(0.8), "pressure")
    assert told("{p:bare}.", p=pressure).text() == "0.71."


def test_a_unit_that_ends_in_a_full_stop_ends_the_sentence():
    """Never two full stops after in. w.c."""
    said = told("Return side {r}. Supply side {r}.", r=(inwc(0.29), "pressure"))
    assert said.text() == "Return side 0.29 in. w.c. Supply side 0.29 in. w.c."
    assert said.text("si") == "Return side 72 Pa. Supply side 72 Pa."


def test_an_airflow_without_a_range_is_rounded_finely():
    """By 5 cfm, or 2 L/s."""
    assert told("{q}", q=near(cfm(1192))).text() == "1,190 cfm"
    assert told("{q}", q=near(cfm(1192))).text("si") == "562 L/s"
