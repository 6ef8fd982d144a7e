"""What cannot be right across a job, and what is only asked about."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inchwater import units
from inchwater.errors import InchwaterError, InputError, NotPossibleError, UnknownNameError
from inchwater.survey import (
    BlowerTable,
    Branch,
    Change,
    Coil,
    Duct,
    Fact,
    Filter,
    Grille,
    Instrument,
    Place,
    Reading,
    Return,
    Supply,
    Survey,
    TableRow,
    Targets,
    Trial,
    Unit,
    check,
    checked,
    doubts,
    problems,
)
from tests.survey.houses import fact, house, job


def static(id_: str = "a", at: str = "return", value: float = -72.0, **more) -> Reading:
    """A static reading."""
    said = {"typed": f"{abs(value)!r}", "unit": "pa"} | more
    return Reading(id_, at, "static", value=value, **said)


def trial(*readings: Reading, **more) -> Trial:
    """A trial with these readings."""
    return Trial("tr1", readings=readings, **more)


def texts(one) -> list[str]:
    """The problems of a job as texts."""
    return [str(problem) for problem in problems(one)]


def with_unit(**more) -> Survey:
    """The house with another unit."""
    return replace(house(), unit=replace(house().unit, **more))


@pytest.mark.parametrize(
    ("typed", "unit"),
    [
        ("0.29", "inwc"),
        ("-0,29 inH2O", "pa"),
        ("72", "pa"),
        ("about 0.3", "inwc"),
        ("", "inwc"),
    ],
)
def test_what_was_typed_is_rounded_as_people_do(typed, unit):
    """Half of the last place is no contradiction, nor are words."""
    one = job(house(), trials=(trial(static(typed=typed, unit=unit, taken="2026-03-02")),))
    assert texts(one) == []


@pytest.mark.parametrize(
    ("cfm", "text"),
    [
        (
            25,
            "survey.unit.table, tap 3: 25 cfm at 0.6 in. w.c. on 3 tons came. The cells of tables "
            "run from 40 to 900 cfm/ton. Check this cell and the capacity, and keep them if they "
            "are printed so.",
        ),
        (
            9500,
            "survey.unit.table, tap 3: 9,500 cfm at 0.3 in. w.c. on 3 tons came. The cells of "
            "tables run from 40 to 900 cfm/ton. Check this cell and the capacity, and keep them if "
            "they are printed so.",
        ),
        (1000, None),
    ],
)
def test_a_cell_that_no_unit_of_this_capacity_moves_is_asked_about(cfm, text):
    """A slip of the finger in a cell, or in the capacity."""
    cells = sorted((cfm, 980), reverse=True)
    rows = [
        TableRow("3", units.to_si(tesp, "inwc"), units.to_si(airflow, "cfm"))
        for tesp, airflow in zip((0.3, 0.6), cells, strict=True)
    ]
    one = job(with_unit(table=BlowerTable("t", tuple(rows)), tap="3", calls={}))
    assert problems(one) == ()
    assert [str(doubt) for doubt in doubts(one)] == ([] if text is None else [text])


def test_a_change_is_made_at_a_time():
    """When a change was made is a date, as when a reading was taken."""
    change = Change("x", "filter", ("f1",), {}, made="last week")
    assert texts(job(house(), changes=(change,))) == [
        "changes.x.made: 'last week' came; a date and time such as 2026-03-02T09:10:00Z is wanted. "
        "Correct it, or leave it out."
    ]


def test_a_house_that_is_right_has_no_problem():
    """Nothing is found, nothing is asked."""
    good = job(
        changes=(Change("ch1", "filter", ("f1",)),),
        trials=(trial(static(), static("b", "supply", 104.0), after=("ch1",)),),
    )
    check(good)
    assert problems(good) == ()
    assert doubts(good) == ()


def test_check_raises_the_first_problem_and_problems_lists_all():
    """Two wrong sizes are two problems; the first is raised."""
    survey = with_unit(capacity=fact(36, "ton"), tesp_rating=fact(50, "inwc"))
    first = "survey.unit.capacity: 36 ton came; units run from 0.5 to 10 ton."
    assert texts(job(survey)) == [
        first,
        "survey.unit.tesp_rating: 50 in. w.c. came; the plates of units run from 0.05 to 2 "
        "in. w.c. Did you mean 50 Pa?",
    ]
    with pytest.raises(InputError) as caught:
        check(job(survey))
    assert str(caught.value) == first


def test_twinned_units_are_refused_with_the_reason():
    """Two blowers on one duct cannot be told apart, and the text says what to do instead."""
    with pytest.raises(NotPossibleError) as caught:
        check(job(with_unit(count=2)))
    assert str(caught.value) == (
        "survey.unit.count: 2 came; one blower for one duct system is what can be answered; "
        "twinned units share one duct, and their two flows cannot be told apart by these "
        "readings. Measure each unit's airflow by itself, for example with a flow grid at its "
        "filter, and see that both run together on the same tap."
    )


@pytest.mark.parametrize(
    ("survey", "text"),
    [
        (
            with_unit(tap="9"),
            "survey.unit.tap: '9' came; the table has taps 2, 3. "
            "Choose one of them, or add the cells of this tap.",
        ),
        (
            with_unit(calls={"cooling": "high"}),
            "survey.unit.calls.cooling: 'high' came; the table has taps 2, 3. "
            "Choose one of them, or add the cells of this tap.",
        ),
        (
            with_unit(
                table=replace(house().unit.table, includes=frozenset({"coil-dry", "coil-wet"}))
            ),
            "survey.unit.table.includes: coil-dry and coil-wet came; a table was made with the "
            "coil dry or with the coil wet. Keep the one that the table's heading or notes say.",
        ),
        (
            with_unit(
                calls={},
                table=BlowerTable("t", (TableRow("2", 100.0, 0.4), TableRow("2", 150.0, 0.5))),
            ),
            "survey.unit.table, tap 2: 1,059 cfm at 0.6022 in. w.c. after 848 cfm at 0.4015 "
            "in. w.c. came; airflow falls as external static rises. "
            "Check these two cells, and that the row was not read backwards.",
        ),
        (
            replace(house(), place=Place(fuel_appliances=("gas",))),
            "place.fuel_appliances: 'gas' came; a burning appliance is natural-draft, "
            "induced-draft, sealed.",
        ),
        (
            replace(house(), place=Place(altitude=fact(30000, "ft"))),
            "place.altitude: 30000 ft came; altitudes run from −1,400 to 18,000 ft.",
        ),
    ],
)
def test_what_is_wrong_at_the_unit(survey, text):
    """Taps, boundary, table, appliances and altitude."""
    assert texts(job(survey)) == [text]


def supply(*branches: Branch, **like) -> Survey:
    """The house with another supply."""
    return replace(house(), supply=Supply(run_like=Duct(**like), branches=branches))


@pytest.mark.parametrize(
    ("survey", "text"),
    [
        (
            supply(
                *(Branch(f"r{n}") for n in range(3)), Branch("r3", Duct("flex", fact(6.0, "m")))
            ),
            "survey.supply.branches[3].duct.diameter: 6.0 m came; flex ducts run from 0.08 to "
            "0.56 m. Did you mean 6 in?",
        ),
        (
            supply(Branch("r1", Duct("flex", fact(0, "in")))),
            "survey.supply.branches[0].duct.diameter: 0 in came; flex ducts run from 3.1 to 22 in.",
        ),
        (
            supply(Branch("r1"), diameter=fact(-6, "in")),
            "survey.supply.run_like.diameter: -6 in came; ducts run from 3.1 to 43 in.",
        ),
        (
            supply(Branch("r1"), length=fact(float("nan"), "ft")),
            "survey.supply.run_like.length: nan ft came; pieces of duct run from 0.33 to 200 ft.",
        ),
        (
            supply(Branch("r1"), length=fact(25, "cfm")),
            "survey.supply.run_like.length.unit: 'cfm' came; one of m, mm, in, ft is wanted.",
        ),
        (
            supply(Branch("t", branches=(Branch("r", Duct(length=fact(0, "ft"))),))),
            "survey.supply.branches[0].branches[0].duct.length: 0 ft came; pieces of duct run from "
            "0.33 to 200 ft.",
        ),
        (
            supply(Branch("r1", Duct("metal", slack="slack"))),
            "survey.supply.branches[0].duct.slack: slack on metal came; only flex hangs tight, "
            "slack, draped or kinked. Leave the slack out, or correct the material.",
        ),
        (
            supply(Branch("r1", Duct(register=Grille(fact(10, "ft"))))),
            "survey.supply.branches[0].duct.register.width: 10 ft came; faces of grilles and "
            "filters run from 0.16 to 5.2 ft. Did you mean 10 in?",
        ),
        (
            replace(house(), returns=(Return("g1", grille=Grille(fact(1, "in"))),), filters=None),
            "survey.returns[0].grille.width: 1 in came; faces of grilles and filters run from 2 to "
            "63 in. Did you mean 1 ft?",
        ),
        (
            replace(house(), filters=(Filter("f1", "grille", rated_drop=fact(0.2, "inwc")),)),
            "survey.filters[0].rated_airflow: nothing came; a rating is a drop at an airflow, both "
            "printed together. Add the other number of the rating, or leave both out.",
        ),
        (
            replace(house(), filters=(Filter("f1", "grille", count=0),)),
            "survey.filters[0].count: 0 came; a count is 1 or more.",
        ),
        (
            replace(
                house(),
                coils=(
                    Coil("c1", True, rated_drop=fact(60, "inwc"), rated_airflow=fact(800, "cfm")),
                ),
            ),
            "survey.coils[0].rated_drop: 60 in. w.c. came; printed drops run from 0.005 to 2 "
            "in. w.c. Did you mean 60 Pa?",
        ),
    ],
)
def test_sizes_that_cannot_be(survey, text):
    """Path, the number as it stands there, the range in its unit, and what was likely meant."""
    assert texts(job(survey)) == [text]


def test_goals_have_a_range_too():
    """A goal of airflow for each ton."""
    found = texts(job(targets=Targets(airflow_per_capacity_low=fact(50, "cfm_ton"))))
    assert found == [
        "targets.airflow_per_capacity_low: 50 cfm/ton came; goals run from 100 to 900 cfm/ton."
        " Did you mean 50 L/s per kW?"
    ]


def test_a_run_below_itself_is_a_loop():
    """The text shows the way round."""
    loop = Branch("a", branches=(Branch("b", branches=(Branch("a"),)),))
    assert texts(job(supply(loop))) == [
        "survey.supply.branches: a below itself (a → b → a) came; air that has left a trunk "
        "cannot come back into it. Give the lower a an id of its own, or move it."
    ]


@pytest.mark.parametrize(
    ("one", "text"),
    [
        (job(supply(Branch("g1"))), "survey: the id 'g1' twice came"),
        (
            job(changes=(Change("x", "filter", ("f1",)), Change("x", "filter", ("f1",)))),
            "changes: the id 'x' twice came",
        ),
        (job(trials=(Trial("a"), Trial("a"))), "trials: the id 'a' twice came"),
        (
            job(trials=(Trial("a", readings=(static(),)), Trial("b", readings=(static(),)))),
            "trials: the id 'a' twice came",
        ),
        (
            job(instruments=(Instrument("i"), Instrument("i"))),
            "instruments: the id 'i' twice came",
        ),
    ],
)
def test_every_part_change_trial_and_reading_has_an_id_of_its_own(one, text):
    """The id that is there twice is named."""
    assert texts(one) == [
        f"{text}; every part, change, trial, reading and record has an id of its own. "
        "Give one of the two another id."
    ]


@pytest.mark.parametrize(
    ("survey", "text"),
    [
        (
            replace(house(), filters=None),
            "survey.returns[0].filter: 'f1' came; no filter is known yet. "
            "Add the filter, or leave this key out.",
        ),
        (
            replace(house(), filters=(Filter("f1", "unit"),)),
            "survey.returns[0].filter: f1, which sits at the unit, came; a return holds a filter "
            "in its grille. Say that the filter is at the grille, or leave this key out.",
        ),
        (
            replace(house(), returns=(Return("g1", filter="f1"), Return("g2", filter="f1"))),
            "survey.returns[1].filter: f1, which another return holds, came; each filter grille "
            "has a filter of its own. Add one filter for each grille.",
        ),
        (
            replace(house(), returns=(Return("g1"),)),
            "survey.filters[0].at: grille for f1, which no return holds, came; the returns are g1. "
            "Say which return holds it, or that it sits at the unit.",
        ),
    ],
)
def test_filters_and_returns_point_at_each_other(survey, text):
    """A filter grille is a return with a filter of its own."""
    assert texts(job(survey)) == [text]


def test_a_filter_in_a_grille_needs_no_return_while_returns_are_unknown():
    """Unknown is allowed everywhere."""
    assert texts(job(replace(house(), returns=None))) == []


def test_a_change_is_checked_before_anybody_makes_it():
    """Targets and the sizes that it would leave behind."""
    wrong = (
        Change("a", "filter", ("f9",)),
        Change("b", "enlarge-run", ("r1",), {"diameter": fact(8, "ft")}),
    )
    assert texts(job(changes=wrong)) == [
        "changes.a.targets: 'f9' came; filter can be done to f1.",
        "changes.b.to: 8 ft came; flex ducts run from 0.26 to 1.8 ft. Did you mean 8 in?",
    ]


def test_changes_can_stand_on_each_other_or_beside_each_other():
    """A run that was added is enlarged; the same fitting is exchanged in two ways."""
    good = (
        Change("a", "add-run", (), {"id": "r9"}),
        Change("b", "enlarge-run", ("r9",), {"diameter": fact(8, "in")}),
        Change("c", "fitting", ("r1",), {"from": "boot-angle", "into": "boot-straight"}),
        Change("d", "fitting", ("r1",), {"from": "boot-angle", "into": "boot-curved"}),
    )
    assert texts(job(changes=good)) == []


@pytest.mark.parametrize(
    ("one", "text"),
    [
        (
            trial(after=("z",)),
            "trials[0].after: 'z' came; the changes of this job are ch1.",
        ),
        (
            trial(condition={"filter:f9": "out"}),
            "trials[0].condition: 'filter:f9' came; what filter: can name is f1. "
            "Add the filter first.",
        ),
        (
            trial(condition={"run:t1": "pulled-open"}),
            "trials[0].condition: 'run:t1' came; what run: can name is r1, r2, r3. "
            "Add the run first.",
        ),
        (
            trial(condition={"register:r1": "half"}),
            "trials[0].condition.register:r1: 'half' came; register is open or closed.",
        ),
        (
            trial(condition={"tap": "9"}),
            "trials[0].condition.tap: '9' came; the table has taps 2, 3.",
        ),
        (
            trial(condition={"call": "defrost"}),
            "trials[0].condition.call: 'defrost' came; call is cooling, cooling-low, "
            "heating, heating-low or fan.",
        ),
        (
            trial(condition={"door": "shut"}),
            "trials[0].condition: 'door' came; a condition is call, tap, coil, filter:<id>, "
            "run:<id>, register:<id>, door:<room id>, zone:<name> or bypass:<id>, and only what is "
            "temporary. Enter what lasts as a change.",
        ),
        (
            trial(condition={"filter": "out"}),
            "trials[0].condition: 'filter' came; a condition is call, tap, coil, filter:<id>, "
            "run:<id>, register:<id>, door:<room id>, zone:<name> or bypass:<id>, and only what is "
            "temporary. Enter what lasts as a change.",
        ),
        (
            trial(static(corrects="b"), static("b")),
            "trials[0].readings[0].corrects: 'b' came; a reading corrects one that stands before "
            "it in the same trial.",
        ),
        (
            trial(static(), static("b", corrects="a"), static("c", corrects="a")),
            "trials[0].readings[2].corrects: 'a', which is corrected already, came; a reading is "
            "corrected once. Correct the correction instead.",
        ),
        (
            trial(static(typed="0.9", unit="inwc")),
            "trials[0].readings[0].value_pa: −72 Pa for a came; what was typed, '0.9' in "
            "in. w.c., is 224.2 Pa. Correct the one that is wrong.",
        ),
        (
            trial(static(typed="72,0 Pa", unit="inwc"), static("b", typed="290 Pa", unit="pa")),
            "trials[0].readings[1].value_pa: −72 Pa for b came; what was typed, '290 Pa' in Pa, "
            "is 290 Pa. Correct the one that is wrong.",
        ),
        (
            trial(static(unit="cfm")),
            "trials[0].readings[0].unit: 'cfm' for a came; static is given in pa or inwc.",
        ),
        (
            trial(static(taken="yesterday")),
            "trials[0].readings[0].taken: 'yesterday' for a came; a date and time such as "
            "2026-03-02T09:10:00Z is wanted. Correct it, or leave it out.",
        ),
        (
            trial(static(instrument="i9")),
            "trials[0].readings[0].instrument: 'i9' came; no instrument is listed yet. List it "
            "with its kind, or leave it out: then a usual one is taken.",
        ),
        (
            trial(static(value=72.2)),
            "trials[0].readings[0]: 72.2 Pa at return came; static on the return side is "
            "negative. Check that the two tubes were not swapped.",
        ),
        (
            trial(static(at="supply", value=-72.2)),
            "trials[0].readings[0]: −72.2 Pa at supply came; static on the supply side is "
            "positive. Check that the two tubes were not swapped.",
        ),
        (
            trial(static(value=-1300.0)),
            "trials[0].readings[0]: −1300 Pa came; residential blowers reach at most 1,200 Pa, "
            "5 in. w.c. Check the unit, and read again.",
        ),
        (
            trial(static(value=float("nan"))),
            "trials[0].readings[0]: nan came; a number is wanted.",
        ),
        (
            trial(static(at="unit")),
            "trials[0].readings[0].at: static at unit came; static is read at "
            "before-filter, return, before-coil, supply, trunk:<id>, run:<id> or return:<id>.",
        ),
        (
            trial(Reading("a", "supply", "power", "410", "w", 410.0)),
            "trials[0].readings[0].at: power at supply came; power is read at unit.",
        ),
        (
            trial(Reading("a", "unit", "voltage", "24", "v", 24.0)),
            "trials[0].readings[0]: 24 V came; the volts of circuits run from 90 to 300 V.",
        ),
        (
            trial(static(at="before-coil", value=72.0)),
            "trials[0].readings[0].at: before-coil came; an air handler has its coil inside the "
            "cabinet, so there is no test point between blower and coil. "
            "Read in the supply plenum, after the unit, and say after-coil.",
        ),
        (
            trial(static(at="before-filter")),
            "trials[0].readings[0].at: before-filter came; this system has no filter at the unit, "
            "so there is no place before it. Read at the return, or add the filter at the unit.",
        ),
    ],
)
def test_what_is_wrong_in_a_trial(one, text):
    """References, conditions, corrections, places, signs and sizes."""
    assert texts(job(changes=(Change("ch1", "filter", ("f1",)),), trials=(one,))) == [text]


def test_a_trial_is_held_against_what_was_installed_then():
    """A run that a change added can be pulled after that change, and not before it."""
    added = Change("x", "add-run", (), {"id": "r9"})
    pulled = {"run:r9": "pulled-open"}
    after = Trial("b", after=("x",), condition=pulled)
    assert texts(job(changes=(added,), trials=(after,))) == []
    before = Trial("a", condition=pulled)
    assert texts(job(changes=(added,), trials=(before,))) == [
        "trials[0].condition: 'run:r9' came; what run: can name is r1, r2, r3. Add the run first."
    ]


def test_before_the_coil_is_a_place_on_a_furnace_with_a_cased_coil():
    """Known coil or not yet known; without a coil there is none."""
    reading = static(at="before-coil", value=100.0)
    unit = Unit("furnace", fact(3, "ton"))
    for coils in ((Coil("c", inside_unit=False),), None):
        assert texts(job(Survey(unit, coils=coils), trials=(trial(reading),))) == []
    assert texts(job(Survey(unit, coils=()), trials=(trial(reading),))) == [
        "trials[0].readings[0].at: before-coil came; this furnace has no cased coil on it, so "
        "there is no test point between blower and coil. "
        "Read in the supply plenum, after the unit, and say after-coil."
    ]


def test_two_filters_in_series_are_allowed_and_asked_about():
    """One in the grille and one at the unit."""
    survey = replace(house(), filters=(*house().filters, Filter("f2", "unit")))
    assert texts(job(survey)) == []
    assert [str(doubt) for doubt in doubts(job(survey))] == [
        "survey.filters: f1 in a grille and f2 at the unit came. The same air goes through two "
        "filters, which is allowed but seldom meant. "
        "Use one filter, or keep both if both are installed."
    ]
    both = (Filter("f1", "unit"), Filter("f2", "unit"))
    at_unit = replace(house(), filters=both, returns=None)
    assert [str(doubt) for doubt in doubts(job(at_unit))] == [
        "survey.filters: f1, f2, all at the unit, came. Filters at the unit stand one behind the "
        "other. Use one filter with a count if they stand side by side, or keep them."
    ]


def test_a_coil_in_an_unusual_place_is_asked_about():
    """It is possible, and most likely a slip."""
    survey = replace(house(), coils=(Coil("c1", inside_unit=False),))
    assert texts(job(survey)) == []
    assert [str(doubt) for doubt in doubts(job(survey))] == [
        "survey.coils[0].inside_unit: a coil outside the cabinet of an air-handler came. A "
        "furnace has its coil on top, air handlers and packaged units inside. "
        "Look again, and keep it if it is so."
    ]


def test_an_edited_survey_is_checked_with_the_trials_that_stand_on_it():
    """Taking out a filter that a trial speaks of is refused; anything else keeps its trials."""
    one = job(trials=(trial(static(), condition={"filter:f1": "out"}),))
    wider = with_unit(capacity=Fact(4.0, "ton"))
    assert checked(one, wider).trials == one.trials
    with pytest.raises(UnknownNameError):
        checked(one, replace(house(), filters=(), returns=()))


def test_every_problem_is_an_error_of_ours():
    """Whatever is wrong, the four fields are filled."""
    wrong = job(
        replace(with_unit(count=3, capacity=fact(0, "ton")), filters=None),
        trials=(trial(static(value=9e9)),),
    )
    found = problems(wrong)
    assert len(found) >= 3
    for problem in found:
        assert isinstance(problem, InchwaterError)
        assert problem.where
        assert problem.came
        assert problem.right
