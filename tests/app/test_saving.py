"""Leaving a field: the text is kept first, and becomes a record only if it can be right."""

from __future__ import annotations

import pytest
from django.db import transaction

from inchwater.app.systems.models import SurveyRevision
from inchwater.app.visits import recorded, services
from inchwater.app.visits.fields import FIELDS
from inchwater.app.visits.models import Draft, Reading, Trial
from inchwater.errors import UnknownNameError

TABLE = "tap,tesp_inwc,airflow_cfm\n2,0.3,1200\n2,0.5,1100\n3,0.3,1400\n3,0.5,1290\n"

# One value for every field, in an order in which each can be understood.
GOOD = {
    "complaint": "den is hot",
    "complaint_room": "den",
    "capacity": "3",
    "unit_kind": "furnace",
    "return_static": "0.29",
    "supply_static": "0.42",
    "supply_at": "before-coil",
    "other_coil_static": "0.22",
    "table": TABLE,
    "table_includes": "filter,coil-wet",
    "tap": "3",
    "calls": "cooling 3, heating 2",
    "calls_how": "seen",
    "motor": "psc",
    "tesp_rating": "0.5",
    "filter_at": "unit",
    "filter_size": "16x25",
    "filter_grade": "pleat-1in-merv8",
    "filter_condition": "loaded",
    "filter_rated_drop": "0.22",
    "filter_rated_airflow": "1200",
    "before_filter_static": "0.12",
    "return_kind": "ducted",
    "return_count": "2",
    "return_grille": "20 x 25",
    "return_diameter": "16",
    "return_length": "12",
    "return_slack": "slack",
    "return_leak_sealing": "taped",
    "return_leak_airflow": "90",
    "return_leak_pressure": "0.1",
    "runs": "seven 6-inch, about 25 ft, slack flex",
    "rooms": "den, kitchen, bath",
    "run_fittings": "take-off-straight,flex-bend-90,boot-angle",
    "trunk_diameter": "14",
    "trunk_length": "20",
    "bypass": "damper",
    "bypass_diameter": "8",
    "bypass_damper": "30",
    "supply_leak_sealing": "sealed",
    "supply_leak_airflow": "120",
    "supply_leak_pressure": "0.1",
    "coil_condition": "dusty",
    "wheel": "dusty",
    "heat": "electric",
    "heat_output": "36000",
    "heat_output_low": "24000",
    "rise_low": "30",
    "rise_high": "60",
    "rise_low_stage_low": "25",
    "rise_low_stage_high": "55",
    "heat_kit_power": "10",
    "heat_kit_at": "section",
    "heat_kit_least": "900",
    "leak_airflow": "300",
    "sensible_share": "75",
    "coil_wet": "wet",
    "volts": "238",
    "watts": "410",
    "unit_airflow": "1150",
    "blower_speed": "890",
    "altitude": "5280",
    "space": "attic",
    "fuel_appliances": "natural-draft",
    "built": "1974",
    "duct_air": "120",
    "duct_dew_point": "70",
    "hours_cooling": "1200",
    "hours_cooling_low": "400",
    "hours_heating": "900",
    "hours_heating_low": "600",
    "hours_fan": "100",
    "energy_cooling": "3000",
    "energy_heating": "4000",
    "energy_price": "0.18",
    "trial2_state": "filter out; call heating",
    "trial2_rise": "27",
    "trial2_return_static": "0.2",
    "trial2_supply_static": "0.45",
    "trial2_watts": "420",
}
# Fields that say the same part by part, a line for each; they follow the others of their side.
LINES = {"filters_each", "returns_each", "runs_each", "trunks", "doors"}
CELLS = {
    "cell1_tesp": "0.6",
    "cell1_airflow": "1100",
    "cell2_tesp": "0.8",
    "cell2_airflow": "960",
    "cell3_tesp": "0.5",
    "cell3_airflow": "1150",
}


def count(model, firm):
    """How many rows the firm has of a model."""
    return model.objects.of(firm).count()


def test_every_field_of_the_page_becomes_a_record(firm, visit, type_in):
    """Each field takes a usual value; no draft is left and the job says all of it."""
    assert set(GOOD) | set(CELLS) | LINES == set(FIELDS)
    for name, text in GOOD.items():
        saved = type_in(name, text)
        # A rating or a test is two numbers; the first of them waits for the second.
        second = {
            "filter_rated_drop": "At an airflow of",
            "rise_low": "Temperature rise on the plate: to",
            "rise_low_stage_low": "Rise in the low stage: to",
            "return_leak_airflow": "Return test at a pressure of",
            "supply_leak_airflow": "Supply test at a pressure of",
        }.get(name)
        told = f"Kept. It counts with the field “{second}”." if second else ""
        assert (saved.ok, saved.problem, saved.doubt, saved.note) == (True, None, None, told)
    values = services.visit_values(firm, visit.pk)
    assert {name: text for name, text in values.items() if name not in LINES} == GOOD
    assert count(Draft, firm) == 0
    job = services.job(firm, visit.pk)
    survey = job.survey
    assert (job.complaint, job.complaint_room) == ("den is hot", "den")
    assert survey.unit.capacity.si == pytest.approx(3 * 12000 * 1000 / 3412.142)
    assert survey.unit.capacity.how == "stated"
    assert (survey.unit.kind, survey.unit.motor, survey.unit.tap) == ("furnace", "psc", "3")
    assert survey.unit.wheel == "dusty"
    assert survey.unit.tesp_rating.si == pytest.approx(0.5 * 249.08891)
    assert survey.unit.table.includes == {"filter", "coil-wet"}
    assert [row.airflow is not None for row in survey.unit.table.rows] == [True] * 4
    (filter_,) = survey.filters
    assert (filter_.at, filter_.grade, filter_.condition) == ("unit", "pleat-1in-merv8", "loaded")
    assert filter_.width.si == pytest.approx(16 * 0.0254)
    assert filter_.height.si == pytest.approx(25 * 0.0254)
    assert filter_.rated_drop.si == pytest.approx(0.22 * 249.08891)
    assert filter_.rated_airflow.si == pytest.approx(1200 * 0.3048**3 / 60)
    (coil,) = survey.coils
    assert (coil.inside_unit, coil.condition) == (False, "dusty")
    assert [one.id for one in survey.returns] == ["g1", "g2"]
    for one in survey.returns:
        assert (one.kind, one.filter, one.duct.slack) == ("ducted", None, "slack")
        assert one.grille.width.si == pytest.approx(20 * 0.0254)
        assert one.duct.diameter.si == pytest.approx(16 * 0.0254)
        assert one.duct.length.si == pytest.approx(12 * 0.3048)
    runs = survey.supply.runs
    assert [run.room for run in runs] == ["den", "kitchen", "bath", None, None, None, None]
    for run in runs:
        assert (run.duct.slack, run.duct.material) == ("slack", "flex")
        assert run.duct.diameter.si == pytest.approx(6 * 0.0254)
        assert (run.duct.length.value, run.duct.length.unit) == (25, "ft")
        assert run.duct.length.how == "stated"
    (trunk,) = survey.supply.branches
    assert trunk.duct.diameter.si == pytest.approx(14 * 0.0254)
    assert trunk.duct.length.si == pytest.approx(20 * 0.3048)
    assert survey.place.altitude.si == pytest.approx(1609.344)
    assert (survey.place.space, survey.place.built) == ("attic", 1974)
    assert survey.place.fuel_appliances == ("natural-draft",)
    assert (survey.unit.calls, survey.unit.heat) == ({"cooling": "3", "heating": "2"}, "electric")
    assert survey.unit.calls_how == {"cooling": "seen", "heating": "seen"}
    kit = survey.unit.heat_kit
    assert (kit.power.si, kit.inside_unit) == (10_000.0, False)
    assert (survey.unit.heat_output.value, survey.unit.heat_output.unit) == (36000, "btuh")
    (bypass,) = survey.bypasses
    assert (bypass.kind, bypass.duct.diameter.value, bypass.duct.damper.value) == ("damper", 8, 30)
    leaks = {one.side: (one.sealing, one.airflow.value) for one in survey.leakage}
    assert leaks == {"supply": ("sealed", 120.0), "return": ("taped", 90.0)}
    trial, other = job.trials
    assert trial.condition == {"coil": "wet"}
    assert other.condition == {"coil": "wet", "filter:f1": "out", "call": "heating"}
    found = {(one.at, one.quantity): one.typed for one in other.in_force}
    # The supply is read where it was read first.
    assert found == {
        ("return", "static"): "0.2",
        ("before-coil", "static"): "0.45",
        ("unit", "power"): "420",
        ("unit", "temperature-rise"): "27",
    }
    found = {(one.at, one.quantity): (one.typed, one.unit) for one in trial.in_force}
    assert found == {
        ("return", "static"): ("0.29", "inwc"),
        ("before-coil", "static"): ("0.42", "inwc"),
        ("supply", "static"): ("0.22", "inwc"),
        ("before-filter", "static"): ("0.12", "inwc"),
        ("unit", "voltage"): ("238", "v"),
        ("unit", "power"): ("410", "w"),
        ("unit", "airflow"): ("1150", "cfm"),
        ("unit", "speed"): ("890", "rpm"),
    }


def test_statics_take_their_sign_from_their_side(firm, visit, thin):
    """Nobody types a sign; upstream of the blower is negative, a typed minus changes nothing."""
    thin("before_filter_static", "-0.11")
    thin("return_static", "−0.29")
    values = {one.at: one.value for one in services.job(firm, visit.pk).trials[0].in_force}
    assert values == {
        "before-filter": pytest.approx(-0.11 * 249.08891),
        "return": pytest.approx(-0.29 * 249.08891),
        "supply": pytest.approx(0.42 * 249.08891),
    }


# What a field alone makes possible and what therefore goes, or waits as a draft, with it.
GOES_WITH = {
    "runs": {"rooms"},
    "return_count": {
        name
        for name in GOOD
        if name.startswith("return_") and name != "return_static" and "leak" not in name
    },
}
WAITS_FOR = {
    "runs": {"run_fittings", "trunk_diameter", "trunk_length"},
    "unit_kind": {"coil_condition"},
    **{
        f"{side}_leak_{one}": {f"{side}_leak_{other}"}
        for side in ("supply", "return")
        for one, other in (("airflow", "pressure"), ("pressure", "airflow"))
    },
    **{
        f"rise_{stage}{one}": {f"rise_{stage}{other}"}
        for stage in ("", "low_stage_")
        for one, other in (("low", "high"), ("high", "low"))
    },
    "calls": {"calls_how"},
    "bypass": {"bypass_diameter", "bypass_damper"},
    "table": {"table_includes"},
    "filter_rated_drop": {"filter_rated_airflow"},
    "filter_rated_airflow": {"filter_rated_drop"},
}


def test_clearing_a_field_makes_it_unknown_again(firm, visit, type_in):
    """A blank field is unknown: what it said is out of the job, and nothing else is."""
    for one, text in GOOD.items():
        type_in(one, text)
    for name in GOOD:
        with transaction.atomic():
            if name == "trial2_state":
                # A rise belongs to a heating call, so it is taken back before what says of one.
                type_in("trial2_rise", "")
            saved = type_in(name, "  ")
            assert (saved.ok, saved.problem, saved.note) == (True, None, ""), name
            left = services.visit_values(firm, visit.pk)
            gone = {name} | GOES_WITH.get(name, set())
            gone |= {"trial2_rise"} if name == "trial2_state" else set()
            assert set(GOOD) - set(left) == gone
            waiting = services.draft_states(firm, visit.pk)
            assert set(waiting) == WAITS_FOR.get(name, set())
            assert all(one.note for one in waiting.values())
            transaction.set_rollback(True)


# What came, and the whole text of the answer; none of these is ever lost.
BAD = [
    ("capacity", "three", "Cooling capacity: 'three' came; a number is wanted."),
    ("capacity", "nan", "Cooling capacity: 'nan' came; a number is wanted."),
    ("capacity", "inf", "Cooling capacity: 'inf' came; a number is wanted."),
    (
        "capacity",
        "1e300",
        "Cooling capacity: '1e300' came; no quantity is that large.",
    ),
    (
        "supply_static",
        "abc",
        "Supply static: 'abc' came; a number is wanted.",
    ),
    ("return_static", "0.2.9", None),
    ("supply_static", "1" * 400, None),
    ("unit_kind", "boiler", None),
    (
        "tap",
        "x" * 300,
        "Tap in use: 300 characters came; a name of at most 200 printable characters is wanted.",
    ),
    (
        "return_count",
        "1.5",
        "How many return grilles: '1.5' came; a whole number from 1 to 12 is wanted.",
    ),
    (
        "return_count",
        "0",
        "How many return grilles: '0' came; a whole number from 1 to 12 is wanted.",
    ),
    (
        "return_count",
        "-2",
        "How many return grilles: '-2' came; a whole number from 1 to 12 is wanted.",
    ),
    ("filter_size", "16", "Filter size: '16' came; width and height are wanted, such as 20 × 25."),
    ("filter_size", "0x0", None),
    ("return_diameter", "0", None),
    ("return_diameter", "-6", None),
    ("return_length", "9999", None),
    ("runs", "seven purple", None),
    ("runs", "0", None),
    (
        "fuel_appliances",
        "none,sealed",
        "Other burning appliances: none, sealed came; “None” stands alone. "
        "Take it away, or the others.",
    ),
    ("built", "3020", None),
    ("altitude", "99999", None),
    ("volts", "12000", None),
    (
        "complaint",
        "x" * 3000,
        "What is wrong: 3000 characters came; at most 2000 are read here. Say it in fewer words.",
    ),
    ("table", "not a table", None),
    ("table", "\x00\x01\x02", None),
    ("table", "tap,tesp_inwc,airflow_cfm\n", None),
    ("table", "tap,tesp_inwc,airflow_cfm\n2,0.3,1000\n2,0.5,1200\n", None),
    ("table", "tap,tesp_inwc\n2,0.3\n", None),
    ("table", "/etc/passwd", None),
    ("cell1_tesp", "much", "Cell 1: external static: 'much' came; a number is wanted."),
]


@pytest.mark.parametrize(("name", "text", "told"), BAD, ids=lambda one: str(one)[:24])
def test_what_cannot_be_right_is_told_and_kept(firm, visit, thin, name, text, told):
    """The record stays as it was, the text stays in the field, and the words say what is wrong."""
    before = services.job(firm, visit.pk)
    saved = thin(name, text)
    assert not saved.ok
    problem = saved.problem or saved.doubt
    assert problem is not None
    if told is not None:
        assert problem["text"] == told
    assert problem["where"]
    assert problem["came"]
    assert problem["right"]
    assert "Traceback" not in problem["text"]
    assert services.job(firm, visit.pk) == before
    kept = services.visit_values(firm, visit.pk)[name]
    assert kept == text.replace("\x00", "\ufffd")
    assert services.draft_states(firm, visit.pk)[name] == saved


def test_pascals_in_a_field_of_inches_are_asked_about(firm, visit, thin):
    """A doubtful value stays a draft until Use or Keep; what counts meanwhile is the old one."""
    saved = thin("supply_static", "150")
    assert not saved.ok
    assert saved.problem is None
    assert saved.doubt["text"] == (
        "Supply static: 150 came. Ducts show 0.05–1.5 in. w.c. 150 Pa is 0.60. Use 0.60 / Keep 150"
    )
    assert saved.doubt["suggestion"] == "0.60"
    assert services.visit_values(firm, visit.pk)["supply_static"] == "150"
    assert recorded.reading_of(
        services.find_visit(firm, visit.pk), FIELDS["supply_static"]
    ).typed == ("0.42")
    assert thin("supply_static", saved.doubt["suggestion"]).ok
    assert services.visit_values(firm, visit.pk)["supply_static"] == "0.60"
    assert count(Draft, firm) == 0


def test_keeping_a_doubtful_value_keeps_the_doubt_with_it(firm, visit, thin):
    """A static of 2 in. w.c. can be kept; the row remembers that it was asked about."""
    assert thin("supply_static", "2").doubt
    assert thin("supply_static", "2", keep=True).ok
    row = recorded.reading_of(services.find_visit(firm, visit.pk), FIELDS["supply_static"])
    assert row.value == pytest.approx(2 * 249.08891)
    assert row.problem.startswith("Supply static: 2 came. Ducts show 0.05–1.5 in. w.c.")


def test_keeping_never_lifts_a_limit(firm, visit, thin):
    """150 in. w.c. cannot be, whatever is answered; it stays a draft."""
    saved = thin("supply_static", "150", keep=True)
    assert not saved.ok
    assert services.visit_values(firm, visit.pk)["supply_static"] == "150"
    assert services.job(firm, visit.pk).trials[0].in_force[-1].typed == "0.42"


def test_a_reading_typed_again_is_a_new_row(firm, visit, thin):
    """The first row stays as it was; the new one corrects it, and the job tells both."""
    thin("return_static", "0.31")
    trial = Trial.objects.of(firm).get(visit=visit)
    rows = Reading.objects.of(firm).filter(trial=trial, at="return").order_by("received_at")
    assert [(row.typed, row.reason) for row in rows] == [("0.29", ""), ("0.31", "typed again")]
    assert rows[1].corrects_id == rows[0].pk
    (found,) = services.job(firm, visit.pk).trials
    assert [one.typed for one in found.readings if one.at == "return"] == ["0.29", "0.31"]
    assert [one.typed for one in found.in_force if one.at == "return"] == ["0.31"]


def test_a_reading_taken_back_leaves_the_job_and_stays_a_row(firm, visit, thin):
    """Clearing a reading adds a row without a value; typing it anew follows that one."""
    thin("return_static", "")
    assert "return_static" in services.missing(firm, visit.pk)
    thin("return_static", "0.27")
    rows = Reading.objects.of(firm).filter(at="return").order_by("received_at")
    assert [(row.typed, row.value is None, row.problem) for row in rows] == [
        ("0.29", False, ""),
        ("", True, "taken back"),
        ("0.27", False, ""),
    ]
    (found,) = services.job(firm, visit.pk).trials
    assert [one.typed for one in found.readings if one.at == "return"] == ["0.27"]


def test_saving_the_same_twice_adds_nothing(firm, visit, type_in):
    """A field left without a change, or sent twice, makes no revision and no reading."""
    for name, text in GOOD.items():
        type_in(name, text)
    before = (count(SurveyRevision, firm), count(Reading, firm))
    for name, text in GOOD.items():
        assert type_in(name, text).ok
    assert (count(SurveyRevision, firm), count(Reading, firm)) == before


def test_a_survey_edit_is_a_new_revision_and_keeps_the_trials(firm, visit, thin):
    """Each edit follows the one before; readings stay with the trial they were taken in."""
    before = services.job(firm, visit.pk).trials
    thin("filter_at", "unit")
    thin("filter_grade", "pleat-1in-merv8")
    numbers = [row.number for row in services.revisions(firm, visit.pk)]
    assert numbers == list(range(1, len(numbers) + 1))
    rows = services.revisions(firm, visit.pk)
    assert [row.parent_id for row in rows] == [None, *(row.pk for row in rows[:-1])]
    assert rows[-2].document["survey"]["filters"] == [{"id": "f1", "at": "unit"}]
    assert services.job(firm, visit.pk).trials == before
    assert Trial.objects.of(firm).get(visit=visit).revision == rows[0]


def test_two_cells_are_a_table(firm, visit, thin):
    """Cells wait as drafts until two are complete; then they are the table of the tap in use."""
    for name in ("cell1_tesp", "cell1_airflow", "cell2_tesp"):
        saved = thin(name, CELLS[name])
        assert (saved.ok, saved.problem) == (True, None)
        assert saved.note == "Kept. Two cells with pressure and airflow are a table."
    assert services.job(firm, visit.pk).survey.unit.table is None
    assert thin("cell2_airflow", "960").note == ""
    unit = services.job(firm, visit.pk).survey.unit
    assert [(row.tap, round(row.tesp / 249.08891, 3)) for row in unit.table.rows] == [
        ("in use", 0.6),
        ("in use", 0.8),
    ]
    assert count(Draft, firm) == 0
    values = services.visit_values(firm, visit.pk)
    assert {name: values[name] for name in CELLS if name in values} == {
        name: CELLS[name] for name in CELLS if not name.startswith("cell3")
    }
    assert "tap" not in values
    thin("tap", "4")
    assert {row.tap for row in services.job(firm, visit.pk).survey.unit.table.rows} == {"4"}
    thin("cell3_tesp", "0.5")
    thin("cell3_airflow", "1150")
    assert len(services.job(firm, visit.pk).survey.unit.table.rows) == 3


def test_taking_a_cell_away_takes_the_table_and_keeps_the_other_cell(firm, visit, thin):
    """One cell is no table; what was typed for it waits in its fields."""
    for name in list(CELLS)[:4]:
        thin(name, CELLS[name])
    thin("cell2_airflow", "")
    assert services.job(firm, visit.pk).survey.unit.table is None
    values = services.visit_values(firm, visit.pk)
    assert {name: values.get(name) for name in list(CELLS)[:4]} == {
        "cell1_tesp": "0.6",
        "cell1_airflow": "1100",
        "cell2_tesp": "0.8",
        "cell2_airflow": None,
    }


def test_cells_that_rise_with_pressure_are_refused_and_kept(firm, visit, thin):
    """The second cell is told to be wrong; all four texts stay."""
    for name, text in zip(CELLS, ("0.6", "1100", "0.8"), strict=False):
        thin(name, text)
    saved = thin("cell2_airflow", "1400")
    assert not saved.ok
    # The words are the survey's, and tested whole there.
    assert saved.problem["kind"] == "TableError"
    assert saved.problem["text"].startswith("Cell 2: airflow, tap in use: 1,400 cfm")
    values = services.visit_values(firm, visit.pk)
    assert [values[name] for name in list(CELLS)[:4]] == ["0.6", "1100", "0.8", "1400"]


def test_a_fact_that_comes_too_early_waits_and_then_counts(firm, visit, thin):
    """What the table includes, and the trunk, may be said before the table and the runs."""
    assert thin("table_includes", "coil-dry").note == (
        "Already inside the table: coil-dry came; "
        "it counts once there is a table, of two cells at least."
    )
    assert thin("trunk_diameter", "14").note == (
        "Trunk diameter: 14 in came; it counts once the runs that leave the trunk are typed."
    )
    for name in list(CELLS)[:4]:
        thin(name, CELLS[name])
    thin("runs", "four 6-inch flex")
    survey = services.job(firm, visit.pk).survey
    assert survey.unit.table.includes == {"coil-dry"}
    (trunk,) = survey.supply.branches
    assert len(trunk.branches) == 4
    assert count(Draft, firm) == 0


def test_a_new_table_displaces_a_tap_that_it_does_not_have(firm, visit, thin):
    """The tap goes back to its field as a draft, with the reason; the table is taken."""
    thin("tap", "high")
    assert thin("table", TABLE).ok
    assert services.job(firm, visit.pk).survey.unit.tap is None
    states = services.draft_states(firm, visit.pk)
    assert states["tap"].problem["text"] == (
        "Tap in use: 'high' came; the table has taps 2, 3. "
        "Choose one of them, or add the cells of this tap."
    )
    assert services.visit_values(firm, visit.pk)["tap"] == "high"
    assert thin("tap", "3").ok
    assert count(Draft, firm) == 0


def test_a_table_as_another_country_saves_it_is_the_same_table(firm, visit, thin):
    """Semicolons and decimal commas are understood; the text stays as it was pasted."""
    thin("table", TABLE)
    rows = services.job(firm, visit.pk).survey.unit.table.rows
    other = TABLE.replace(",", ";").replace(".", ",")
    assert thin("table", other).shown == "4 cells, taps 2, 3"
    assert services.job(firm, visit.pk).survey.unit.table.rows == rows
    assert services.visit_values(firm, visit.pk)["table"] == other


def test_filters_in_the_grilles_come_one_to_a_return(firm, visit, thin):
    """Each return grille holds its own filter of the one description, also when returns follow."""
    thin("filter_at", "grille")
    thin("filter_size", "20x25")
    thin("return_count", "2")
    survey = services.job(firm, visit.pk).survey
    assert [one.filter for one in survey.returns] == ["f1", "f2"]
    assert [(one.id, one.width.value) for one in survey.filters] == [("f1", 20), ("f2", 20)]
    thin("filter_at", "none")
    survey = services.job(firm, visit.pk).survey
    assert survey.filters == ()
    assert [one.filter for one in survey.returns] == [None, None]
    assert "filter_size" not in services.visit_values(firm, visit.pk)


def test_saying_where_the_supply_was_read_moves_the_readings(firm, visit, type_in):
    """The same numbers go to the other test point as corrections; nothing is overwritten."""
    type_in("unit_kind", "furnace")
    type_in("capacity", "3")
    type_in("return_static", "0.3")
    type_in("supply_static", "0.5")
    type_in("other_coil_static", "0.2")
    # After the coil is what is taken until it is said, so 0.2 stands before the coil: impossible
    # as a coil, but nobody is stopped from typing.
    type_in("supply_at", "before-coil")
    found = {one.at: one.typed for one in services.job(firm, visit.pk).trials[0].in_force}
    assert found == {"return": "0.3", "before-coil": "0.5", "supply": "0.2"}
    values = services.visit_values(firm, visit.pk)
    assert (values["supply_static"], values["other_coil_static"]) == ("0.5", "0.2")
    moved = Reading.objects.of(firm).filter(reason="read on the other side of the coil")
    assert moved.count() == 2
    assert all(row.corrects_id for row in moved)


def test_a_page_in_si_shows_and_takes_si(firm, visit, thin):
    """What was typed in inches shows in pascals and millimetres, and pascals are taken."""
    thin("tesp_rating", "0.5")
    thin("filter_size", "16x25")
    thin("runs", "seven 6-inch, about 25 ft, slack flex")
    values = services.visit_values(firm, visit.pk, "si")
    assert values["return_static"] == "72"
    assert values["tesp_rating"] == "125"
    assert values["filter_size"] == "406 × 635"
    assert values["runs"] == "7 runs, 152 mm, about 7.6 m, slack flex"
    before = services.job(firm, visit.pk)
    for name, text in values.items():
        assert thin(name, text, units="si").ok, name
    assert services.job(firm, visit.pk) == before
    assert thin("return_static", "80", units="si").ok
    (reading,) = [
        one for one in services.job(firm, visit.pk).trials[0].in_force if one.at == "return"
    ]
    assert (reading.typed, reading.unit, reading.value) == ("80", "pa", -80)
    assert services.visit_values(firm, visit.pk)["return_static"] == "0.32"


def test_a_unit_behind_the_number_counts(firm, visit, thin):
    """“72 Pa” in a field of inches is 72 Pa; typed and unit are kept as they came."""
    assert thin("return_static", "72 Pa").shown == "0.29 in. w.c."
    (reading,) = [
        one for one in services.job(firm, visit.pk).trials[0].in_force if one.at == "return"
    ]
    assert (reading.typed, reading.unit, reading.value) == ("72 Pa", "pa", -72)
    assert services.visit_values(firm, visit.pk)["return_static"] == "72 Pa"
    assert thin("capacity", "36 kBtu/h").shown == "3.0 ton"
    assert thin("altitude", "1600 m").shown == "5,249 ft"


def test_an_unknown_field_is_an_error_of_the_caller(firm, visit, type_in):
    """A name that is no field is refused with the names that are."""
    with pytest.raises(UnknownNameError) as caught:
        type_in("nonsense", "1")
    assert str(caught.value) == f"field: 'nonsense' came; fields are {', '.join(FIELDS)}."


def test_commas_behind_the_last_room_name_no_room(firm, visit, thin):
    """What a thumb adds is no name; a run between two others may stay without one."""
    thin("runs", "four 6-inch, 20 ft tight flex")
    assert thin("rooms", "den, , bath,,, ").shown == "den, , bath"
    runs = services.job(firm, visit.pk).survey.supply.runs
    assert [run.room for run in runs] == ["den", None, "bath", None]


def test_runs_typed_again_keep_ids_and_rooms(firm, visit, thin):
    """Fewer runs take the last ones away; ids and rooms of the others stay."""
    thin("runs", "four 6-inch, 20 ft tight flex and two 8-inch, 15 ft metal")
    thin("rooms", "a, b, c, d, e, f")
    thin("runs", "five 7-inch flex")
    runs = services.job(firm, visit.pk).survey.supply.runs
    assert [(run.id, run.room) for run in runs] == [
        ("r1", "a"),
        ("r2", "b"),
        ("r3", "c"),
        ("r4", "d"),
        ("r5", "e"),
    ]
    assert {(run.duct.diameter.value, run.duct.length, run.duct.slack) for run in runs} == {
        (7, None, None)
    }
    saved = thin("rooms", "a, b, c, d, e, f")
    assert saved.problem["text"] == (
        "Rooms: 6 names came; there are 5 runs, and one room to each. "
        "Take a name away, or type how many runs there are first."
    )
