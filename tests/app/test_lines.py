"""A line for each part: returns, filters, trunks, runs, doors, and what was different later."""

from __future__ import annotations

import pytest

from inchwater.app.visits import services
from inchwater.app.visits.fields import FIELDS
from inchwater.app.visits.parsing import parse
from inchwater.app.visits.placing import place, text_of
from inchwater.errors import InchwaterError, InputError
from inchwater.parts.fittings import FITTINGS
from inchwater.survey import job_from_dict

INCH = 0.0254


def put(document, name, text, units="ip"):
    """The document with a field's text in its place."""
    return place(document, FIELDS[name], parse(FIELDS[name], text, units))


def survey_of(document):
    """The survey of a document, checked like any job file."""
    unit = {"kind": "air-handler", "capacity": {"value": 3.0, "unit": "ton", "how": "stated"}}
    full = {"format": "inchwater-job", "version": 2, "id": "x", **document}
    full["survey"] = {**document["survey"], "unit": unit | document["survey"].get("unit", {})}
    return job_from_dict(full).survey


def house():
    """A document of two returns into a common one, three runs and two trunks."""
    document = {}
    for name, text in (
        (
            "returns_each",
            "hall: grille 20 x 25, 14-inch flex, 12 ft\n"
            "den: 14 x 20, panned\n"
            "common: 20 x 20 metal, 6 ft",
        ),
        (
            "filters_each",
            "hall: 20 x 25, 1-inch pleated MERV 8, used\nunit: 16 x 25 x 4, MERV 11",
        ),
        (
            "runs_each",
            "den: 6-inch flex, about 25 ft, slack, 2 elbow-90-gored, boot-angle, damper 45°, "
            "register 10 x 6 floor\n"
            "kitchen: 10 x 4 metal, 12 ft, zone down\n"
            "bath: 5-inch flex, 10 ft, sag 6 in every 4 ft",
        ),
        (
            "trunks",
            "t1: 16 x 8 metal, 20 ft, elbow-90-square, feeds den, t2\n"
            "t2: 14 x 8 oval, 10 ft, zone up, feeds bath",
        ),
        ("doors", "den: undercut 30 x 3/4\nbath: grille 12 x 6, jumper 12 x 6 8-inch flex 10 ft"),
    ):
        document = put(document, name, text)
    return document


def test_a_line_for_each_return_is_that_return():
    """Grille, duct, kind, room, and the common return that takes in the others."""
    hall, den, common = survey_of(house()).returns
    assert (hall.room, hall.kind, hall.into) == ("hall", "ducted", "common")
    assert (hall.grille.width.value, hall.grille.height.value) == (20.0, 25.0)
    assert hall.duct.diameter.si == pytest.approx(14 * INCH)
    assert (hall.duct.material, hall.duct.length.value) == ("flex", 12.0)
    # Without a word, a return's pair of sizes is its grille's.
    assert (den.kind, den.grille.width.value, den.duct.width) == ("panned", 14.0, None)
    assert (common.id, common.kind, common.into, common.grille) == (
        "common",
        "common",
        None,
        None,
    )
    assert (common.duct.shape, common.duct.width.value) == ("rectangular", 20.0)


def test_a_line_for_each_filter_says_where_it_sits():
    """In the grille of the return that it is named by, or at the unit."""
    survey = survey_of(house())
    grille, unit = survey.filters
    assert (grille.at, grille.grade, grille.condition) == ("grille", "pleat-1in-merv8", "used")
    assert survey.returns[0].filter == grille.id
    assert (unit.at, unit.grade, unit.width.value) == ("unit", "media-4in-merv11", 16.0)


def test_trunks_nest_and_runs_hang_where_they_are_said_to():
    """The tree is the plenum's: a trunk, a trunk off it, and a run that leaves the plenum."""
    supply = survey_of(house()).supply
    t1, kitchen = supply.branches
    den, t2 = t1.branches
    (bath,) = t2.branches
    assert (t1.duct.shape, t1.duct.width.value, t1.duct.fittings) == (
        "rectangular",
        16.0,
        ("elbow-90-square",),
    )
    assert (t2.duct.shape, t2.zone) == ("oval", "up")
    assert (den.room, kitchen.room, bath.room, kitchen.zone) == ("den", "kitchen", "bath", "down")
    assert den.duct.fittings == ("elbow-90-gored", "elbow-90-gored", "boot-angle")
    assert (den.duct.damper.value, den.duct.register.kind) == (45.0, "register-floor")
    assert (den.duct.length.value, str(den.duct.length.how)) == (25.0, "stated")
    assert (bath.duct.sag.value, bath.duct.spacing.value) == (6.0, 4.0)


def test_doors_have_their_ways_out():
    """An undercut in sixteenths, a grille and a jumper with its duct."""
    den, bath = survey_of(house()).rooms
    assert den.transfers[0].height.value == 0.75
    assert [one.kind for one in bath.transfers] == ["grille", "jumper"]
    assert bath.transfers[1].duct.diameter.value == 8.0
    assert survey_of(put(house(), "doors", "den: none; bath: usual")).rooms[0].transfers == ()


@pytest.mark.parametrize("units", ["ip", "si"])
@pytest.mark.parametrize("name", ["returns_each", "filters_each", "runs_each", "trunks", "doors"])
def test_the_lines_that_stand_there_can_be_typed_again(name, units):
    """What a field shows, saved as it is, says the same; ids and other parts stay."""
    before = house()
    text = text_of(before, FIELDS[name], units)
    after = put(before, name, text, units)
    assert text_of(after, FIELDS[name], units) == text
    for other in ("returns_each", "filters_each", "runs_each", "trunks", "doors"):
        assert other == name or text_of(after, FIELDS[other], "ip") == text_of(
            before, FIELDS[other], "ip"
        )
    if units == "ip":
        assert after["survey"].keys() == before["survey"].keys()
        assert survey_of(after) == survey_of(before)


def test_a_part_keeps_its_id_when_its_line_changes_place():
    """Readings and changes point at ids; only a name that is new gets a new one."""
    after = put(house(), "runs_each", "bath: 6-inch flex\nden: 6-inch flex\nattic: 5-inch")
    ids = {run.room: run.id for run in survey_of(after).supply.runs}
    assert ids == {"bath": "r3", "den": "r1", "attic": "r4"}
    # A trunk whose runs have no line any more is gone with them; a new run leaves the only one.
    left = put(after, "runs_each", "attic: 5-inch")
    assert text_of(left, FIELDS["trunks"], "ip").startswith("t1: 16 × 8 in")
    assert "t2" not in text_of(left, FIELDS["trunks"], "ip")


def test_every_fitting_can_be_said_on_a_line():
    """By its key, with hyphens or spaces; each of them alone and all together."""
    for key in FITTINGS:
        (line,) = parse(FIELDS["runs_each"], f"den: 6-inch, {key}", "ip")
        assert line.said["duct"]["fittings"] == [key]
    (line,) = parse(FIELDS["runs_each"], "den: two elbow 90 gored and a boot angle", "ip")
    assert line.said["duct"]["fittings"] == ["elbow-90-gored", "elbow-90-gored", "boot-angle"]
    (line,) = parse(FIELDS["runs_each"], "den: no fittings", "ip")
    assert line.said["duct"]["fittings"] == []


BAD = [
    (
        "runs_each",
        "den: 6-inch fluff",
        "Every run, one line each, den: 'fluff' came; this was not understood. Say the size "
        "(14-inch, or 16 x 8), the length in feet, flex, metal, duct board, lined or PVC, how "
        "flex hangs, and fittings by their keys.",
    ),
    (
        "runs_each",
        "den: elbow-90-blue",
        "Every run, one line each, den: 'elbow-90-blue' came; it is no fitting of the list under "
        "“Fittings on each run”. Copy the key from there.",
    ),
    (
        "runs_each",
        "six 6-inch",
        "Every run, one line each: 'six 6-inch' came; each line is a name, a colon, and what it "
        "is. Type it like “den: 6-inch flex, 25 ft, slack”.",
    ),
    (
        "runs_each",
        "den: 5-inch\nden: 6-inch",
        "Every run, one line each: den twice came; a part has one line. Give the other one a "
        "name of its own, or take it away.",
    ),
    (
        "runs_each",
        "den: oval 14-inch",
        "Every run, one line each, den: oval and 14 in came; oval duct has two sides. "
        "Type both, such as 8 x 12.",
    ),
    (
        "runs_each",
        "den: 5-inch 6-inch",
        "Every run, one line each, den: 5-inch and 6-inch came; a group has one diameter. "
        "A line is for one part: give the other one a line of its own.",
    ),
    ("runs_each", "den: 600-inch", None),
    ("runs_each", "den: 6-inch, 9999 ft", None),
    ("returns_each", "hall: 20 x 2500", None),
    (
        "returns_each",
        "hall: 20 x 25 into attic",
        "Several returns, one line each: 'attic' came; there are hall. Name one of them.",
    ),
    (
        "filters_each",
        "attic: 20 x 25",
        "Several filters, one line each: 'attic' came; there are hall, den, common. "
        "Name one of them.",
    ),
    (
        "filters_each",
        "hall: 20 x 25 MERV 8",
        "Several filters, one line each, hall: merv8 came; this can be pleat-1in-merv8, "
        "pleat-2in-merv8, media-4in-merv8. Type one of these words.",
    ),
    (
        "trunks",
        "t1: 16 x 8, feeds t2, den\nt2: 12 x 8, feeds t1, bath",
        "Several trunks, one line each: t1, which feeds itself came; every trunk begins at the "
        "plenum or at another trunk that does. Look at what “feeds” names.",
    ),
    (
        "trunks",
        "t1: 16 x 8\nt2: 12 x 8",
        "Several trunks, one line each: t1 and t2 came; only one trunk can feed all that are "
        "left. Say what the others feed: “feeds den, kitchen”.",
    ),
    (
        "trunks",
        "t1: 16 x 8, feeds den, attic",
        "Several trunks, one line each: 'attic' came; there are t1, den, bath, kitchen. "
        "Name one of them.",
    ),
    (
        "doors",
        "den: window",
        "Rooms with a door, one line each, den: 'window' came; this was not understood. Say "
        "undercut 30 x 3/4, grille 12 x 6, jumper 12 x 6 8-inch flex 10 ft, or none; to sleep or "
        "to live in; design 110 cfm, cooling 3000 Btu/h, heating 4000 Btu/h.",
    ),
    (
        "calls",
        "cooling",
        "Calls and their taps: 'cooling' came; each of cooling, cooling-low, heating, "
        "heating-low, fan stands once, with its tap behind it. Type it like “cooling 4, "
        "heating 2, fan 1”.",
    ),
    (
        "trial2_state",
        "sun out",
        "What was different: 'sun out' came; no such state. Say filter out, door den shut, zone "
        "up shut, register den closed, run den capped, bypass shut, call heating, tap 2 or coil "
        "wet; several with semicolons.",
    ),
]


@pytest.mark.parametrize(("name", "text", "told"), BAD, ids=lambda one: str(one)[:24])
def test_a_line_that_cannot_be_right_is_named(name, text, told):
    """The part, the words that came, and what could be said instead."""
    with pytest.raises(InchwaterError) as caught:
        put(house(), name, text)
    assert isinstance(caught.value, (InputError, LookupError, ValueError))
    if told is not None:
        assert str(caught.value) == told


def test_the_words_of_another_state_become_its_condition(firm, visit, thin):
    """Names on the line are found in the survey; the first trial's own condition stays."""
    thin("coil_wet", "dry")
    thin("runs_each", "den: 6-inch flex, zone up\nbath: 5-inch flex\nhall: 5-inch flex")
    thin("doors", "den: undercut 30 x 3/4")
    thin("bypass", "damper")
    saved = thin(
        "trial2_state",
        "door den shut; zone up shut; register bath closed; bypass shut; call heating low; tap 2",
    )
    assert saved.ok, saved.problem
    thin("trial2_return_static", "0.25")
    first, other = services.job(firm, visit.pk).trials
    assert first.condition == {"coil": "dry"}
    assert other.condition == {
        "coil": "dry",
        "door:room1": "shut",
        "zone:up": "shut",
        "register:r2": "closed",
        "bypass:b1": "shut",
        "call": "heating-low",
        "tap": "2",
    }
    assert [one.at for one in other.in_force] == ["return"]
    values = services.visit_values(firm, visit.pk)
    assert values["return_static"] == "0.29"
    assert values["trial2_return_static"] == "0.25"
    # What both share follows the first one.
    thin("coil_wet", "wet")
    assert [one.condition["coil"] for one in services.job(firm, visit.pk).trials] == ["wet", "wet"]


def test_a_state_of_a_part_that_is_not_there_is_told(firm, visit, thin):
    """The line waits as a draft, and the words name what there is."""
    saved = thin("trial2_state", "door den shut")
    assert not saved.ok
    assert saved.problem["text"] == (
        "What was different: door den came; no door is typed yet. Describe it first."
    )
    assert len(services.job(firm, visit.pk).trials) == 1


def test_a_line_in_millimetres_is_in_millimetres():
    """On a page in SI a size without a unit is millimetres; inches can still be said."""
    document = put({}, "returns_each", "hall: grille 500 x 630, 355 mm flex, 4 m", "si")
    document = put(document, "runs_each", "den: 250 x 100 metal, 4 m; bath: 6-inch flex", "si")
    survey = survey_of(document)
    assert survey.returns[0].grille.width.si == pytest.approx(0.5)
    assert survey.returns[0].duct.diameter.si == pytest.approx(0.355)
    den, bath = survey.supply.runs
    assert (den.duct.width.si, den.duct.height.si) == (pytest.approx(0.25), pytest.approx(0.1))
    assert bath.duct.diameter.si == pytest.approx(6 * INCH)


RUNS = [
    "seven 6-inch, about 25 ft, slack flex",
    "two 3-1/4 x 10 metal stacks, 12 ft; four 5-inch flex, sag 6 in, hangers every 4 ft",
    "three 14 x 8 oval lined, dampers half shut",
    "two 6-inch flex, 10 x 6 registers",
    "four 6-inch PVC, 20 ft",
]


@pytest.mark.parametrize("units", ["ip", "si"])
@pytest.mark.parametrize("text", RUNS)
def test_the_line_of_the_runs_can_be_typed_again(text, units):
    """What the field shows of it says the same runs; nothing that was said is lost."""
    before = put({}, "runs", text)
    again = put(before, "runs", text_of(before, FIELDS["runs"], units), units)
    # Seen in millimetres, a quarter of an inch is rounded to one of them.
    assert text_of(again, FIELDS["runs"], units) == text_of(before, FIELDS["runs"], units)
    ducts = [run.duct for run in survey_of(before).supply.runs]
    for duct, then in zip(ducts, survey_of(again).supply.runs, strict=True):
        assert (duct.material, duct.shape, duct.slack) == (
            then.duct.material,
            then.duct.shape,
            then.duct.slack,
        )
        for key in ("diameter", "width", "height", "length", "sag", "spacing", "damper"):
            one, other = getattr(duct, key), getattr(then.duct, key)
            assert (one is None) == (other is None), key
            if one is not None:
                assert other.si == pytest.approx(one.si, rel=0.02)


def test_another_state_can_be_asked_about(firm, visit, thin):
    """Doors, zones, bypass and calls that the survey has are the choices; others are refused."""
    from django.http import QueryDict

    from inchwater.app.visits.asked import asked
    from inchwater.app.visits.controls import controls

    thin("runs_each", "den: 6-inch flex, zone up\nbath: 5-inch flex")
    thin("doors", "den: undercut 30 x 3/4")
    thin("bypass", "open")
    thin("calls", "cooling 4, heating-low 2")
    job = services.job(firm, visit.pk)
    (control,) = [c for c in controls(job.survey, QueryDict(), "ip") if c.kind == "state"]
    assert [one.label for one in control.inputs[0].choices] == [
        "Door shut: den",
        "Zone shut: up",
        "Bypass shut",
        "Call for cooling (tap 4)",
        "Call for heating, low stage (tap 2)",
    ]
    query = QueryDict("state.at=door:room1%3Dshut&state.at=call%3Dheating-low")
    wanted = asked(job.survey, query, "ip")
    assert wanted.condition == {"door:room1": "shut", "call": "heating-low"}
    assert (wanted.errors, wanted.measuring) == ((), False)
    (error,) = asked(job.survey, QueryDict("state.at=door:attic%3Dshut"), "ip").errors
    assert str(error) == (
        "another state: 'door:attic=shut' came; a door, a zone, a bypass or a call of this system "
        "is chosen. Choose from the list."
    )
    after = services.what_if(firm, visit.pk, (), condition={"door:room1": "shut"})
    assert after.airflow.value > 0.0


@pytest.mark.parametrize(
    ("text", "calls"),
    [
        ("cooling high, heating low", {"cooling": "high", "heating": "low"}),
        ("cooling: high; fan = low", {"cooling": "high", "fan": "low"}),
        ("cooling 4, heating low 2", {"cooling": "4", "heating-low": "2"}),
        ("cooling-low on tap 3", {"cooling-low": "3"}),
        ("Heating is med-high", {"heating": "med-high"}),
    ],
)
def test_a_call_runs_on_the_tap_that_is_named(text, calls):
    """A tap may be called low; a low stage is one only where a tap follows."""
    assert parse(FIELDS["calls"], text, "ip") == calls


@pytest.mark.parametrize("text", ["10", "10 kW", "10000 W"])
def test_a_heat_kit_is_typed_in_kilowatts_or_watts(text):
    """A unit behind the number counts, as in every field."""
    document = put({}, "heat_kit_power", text)
    assert survey_of(document).unit.heat_kit.power.si == 10_000.0


@pytest.mark.parametrize("text", ["undercut 1 in", "1-inch undercut", "undercut 25.4 mm"])
def test_a_gap_can_be_said_without_its_door(text):
    """The width of a door is usual where nobody measured it."""
    (room,) = survey_of(put({}, "doors", f"den: {text}")).rooms
    (gap,) = room.transfers
    assert (gap.kind, gap.width) == ("undercut", None)
    assert gap.height.si == pytest.approx(INCH)


def test_a_run_offers_the_fittings_of_a_run():
    """Fittings of returns are typed on the returns' lines."""
    listed = [one.value for one in FIELDS["run_fittings"].choices]
    assert not [key for key in listed if key.startswith("return-")]
    assert {"take-off-straight", "elbow-90-gored", "boot-angle", "none"} <= set(listed)


def test_a_common_return_is_no_grille():
    """It does not count as one, gets no face, and stays when their number changes."""
    document = house()
    assert text_of(document, FIELDS["return_count"], "ip") == "2"
    document = put(document, "return_count", "1")
    assert [one["kind"] for one in document["survey"]["returns"]] == ["ducted", "common"]
    document = put(document, "return_grille", "24 x 24")
    faces = [one.grille for one in survey_of(document).returns]
    assert faces[0].width.value == 24
    assert faces[1] is None


def test_names_that_would_be_lost_are_asked_for():
    """Two names for three named runs name nothing anew; an empty field takes all names away."""
    document = house()
    with pytest.raises(InputError) as caught:
        put(document, "rooms", "attic, hall")
    assert str(caught.value) == (
        "Rooms: 2 names came; 1 further runs have names, which would be lost. Type all of them in "
        "the order of the runs, or empty the field first."
    )
    cleared = place(document, FIELDS["rooms"], None)
    assert {run.room for run in survey_of(cleared).supply.runs} == {None}


def test_a_room_s_line_says_what_it_is_for_and_needs(firm, visit, thin):
    """Beside its ways out, in any order; the line comes back so that it can be typed again."""
    typed = "den: undercut 30 x 3/4, to sleep, design 110 cfm, cooling 3,000 Btu/h, heating 1.2 kW"
    assert thin("doors", typed).ok
    (room,) = services.job(firm, visit.pk).survey.rooms
    assert (room.purpose, room.airflow.value, room.airflow.unit) == ("sleep", 110.0, "cfm")
    assert (room.cooling_load.value, room.cooling_load.unit) == (3000.0, "btuh")
    assert (room.heating_load.value, room.heating_load.unit) == (1.2, "kw")
    assert len(room.transfers) == 1
    shown = services.visit_values(firm, visit.pk, "si")["doors"]
    assert "to sleep, design 52 L/s, cooling 0.9 kW, heating 1.2 kW" in shown
    assert thin("doors", shown, units="si").ok
    again = services.job(firm, visit.pk).survey.rooms[0]
    assert (again.purpose, len(again.transfers)) == ("sleep", 1)


def test_a_room_that_only_sleeps_has_the_usual_way_out(firm, visit, thin):
    """What is not said of its door stays unknown."""
    assert thin("doors", "den: to sleep").ok
    (room,) = services.job(firm, visit.pk).survey.rooms
    assert (room.purpose, room.transfers) == ("sleep", None)
