"""Pressure, filter-face and watt criteria against the documents that they are from.

California compliance manual, Tables 150.0-B and 150.0-C (return sizing, read in a re-post) and
section 4.1.2 (fan efficacy, read); trade limits with the pages named below.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from inchwater.criteria import criteria, guidance, judge
from inchwater.criteria.quantities import face_velocities
from inchwater.survey import Fact, Filter, Targets
from inchwater.units import from_si, to_si
from tests.solved import cfm, stand_in, three_numbers


def with_filter(width, height, airflow, count=1):
    """A system with one filter of this nominal size [in] that carries this airflow [cfm]."""
    survey = replace(
        three_numbers().survey,
        filters=(Filter("f1", width=Fact(width, "in"), height=Fact(height, "in"), count=count),),
    )
    flow = np.array([cfm(airflow)])
    return stand_in(survey, flow, drop={"filter:f1": np.zeros(1)}, part_flow={"filter:f1": flow})


# Airflow at 150 / 300 / 500 fpm by nominal filter: arithmetic on the nominal face, whole cfm
@pytest.mark.parametrize(
    ("width", "height", "flows"),
    [
        (16, 20, (333, 667, 1111)),
        (16, 25, (417, 833, 1389)),
        (20, 20, (417, 833, 1389)),
        (20, 25, (521, 1042, 1736)),
        (20, 30, (625, 1250, 2083)),
        (24, 24, (600, 1200, 2000)),
    ],
)
def test_face_velocity_follows_the_nominal_face(width, height, flows):
    """Whole cfm of the table give its velocities within half a cfm."""
    for flow, velocity in zip(flows, (150, 300, 500), strict=True):
        prediction = with_filter(width, height, flow)
        found = from_si(face_velocities(prediction, prediction.survey)["f1"][0], "fpm")
        assert found == pytest.approx(velocity, abs=0.5 * velocity / flow + 1e-9)


# Table 150.0-B (one return) and 150.0-C (two): ton, total grille in2; at 350 cfm/ton 151-176 fpm
@pytest.mark.parametrize(
    ("tons", "area"),
    [(1.5, 500), (2.0, 600), (2.5, 800), (3.0, 900), (3.5, 1000), (4.0, 1200), (5.0, 1500)],
)
def test_returns_sized_by_the_californian_tables_meet_the_filter_face_limit(check, tons, area):
    """At 350 cfm/ton their faces lie at 151 to 176 fpm, far inside 300 fpm."""
    prediction = with_filter(area / 20, 20, 350 * tons)
    velocity = from_si(face_velocities(prediction, prediction.survey)["f1"][0], "fpm")
    check(
        formula="face velocity",
        source="california-150",
        place="Tables 150.0-B and 150.0-C, 151 to 176 fpm at 350 cfm/ton",
        case=f"{tons:g} ton, {area} in² of grille",
        says=(151, 176),
        got=velocity,
        unit="fpm",
        abs=0.5,
        status="read",
    )
    judged = {one.id: one for one in judge(prediction, prediction.survey, Targets())}
    assert judged["filter-face"].verdict == "met"


# A grille maker's engineering page, p. 78: 2 cfm per in2 of filter is 288 fpm gross; limit 300
def test_two_cfm_per_square_inch_just_meets_the_limit(check):
    """A 20 x 20 with 800 cfm runs at 288 fpm and meets 300; with 850 it does not."""
    prediction = with_filter(20, 20, 800)
    velocity = face_velocities(prediction, prediction.survey)["f1"][0]
    check(
        formula="face velocity",
        source="filter-page",
        place="p. 78, 2 cfm per in² of filter",
        case="800 cfm through 20 × 20 in",
        says=288,
        got=from_si(velocity, "fpm"),
        unit="fpm",
        rel=1e-3,
        status="read",
    )
    for flow, word in ((800, "met"), (850, "not met")):
        prediction = with_filter(20, 20, flow)
        judged = {one.id: one for one in judge(prediction, prediction.survey, Targets())}
        assert judged["filter-face"].verdict == word


# California 2019 compliance manual, section 4.1.2: 0.45 gas furnace air handlers, 0.58 others
def test_watts_for_the_air_are_those_of_the_compliance_manual():
    """Printed in W/cfm, held as W per m3/s."""
    assert from_si(criteria()["power-gas"].high, "w_cfm") == pytest.approx(0.45)
    assert from_si(criteria()["power-other"].high, "w_cfm") == pytest.approx(0.58)


# ACHR News 132709: coil at most 40 % of the rated TESP, "0.20 at 0.50"
def test_the_coils_guidance_is_forty_percent_of_a_half_inch_plate():
    """Share and guidance are one figure."""
    share, plate = criteria()["coil-share"].high, criteria()["tesp"].high
    assert guidance("coil").drop == pytest.approx(share * plate)
    assert from_si(guidance("coil").drop, "inwc") == pytest.approx(0.20)


# 25 Pa = 0.1004, 12.5 Pa = 0.0502 in. w.c. (California return-table path: filter at 12.5 Pa)
def test_the_filter_drop_of_the_californian_path_is_half_the_usual_allowance():
    """0.05 in. w.c. is printed beside 12.5 Pa, 0.10 is its double."""
    from inchwater.criteria import other_figures

    printed = next(o for o in other_figures("filter-drop") if "Table 150.0-B" in o.place)
    assert printed.high == pytest.approx(12.5, abs=0.05)
    assert criteria()["filter-drop"].high == pytest.approx(2 * printed.high)
    assert to_si(0.10, "inwc") == pytest.approx(25, abs=0.1)


def test_what_design_allows_a_filter(check):
    """A trade article quotes residential duct design: 0.10 in. w.c. of the filter."""
    check(
        formula="filter allowance",
        source="energy-vanguard",
        place="article on filters, quoting duct design",
        case="clean filter",
        says=0.10,
        got=from_si(criteria()["filter-drop"].high, "inwc"),
        unit="in. w.c.",
        rel=1e-6,
        status="read",
    )
