"""The JSON Schema: valid itself, and in step with the dataclasses that it describes."""

from __future__ import annotations

import copy
import json
import re
import typing
from dataclasses import fields
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from inchwater import units
from inchwater.errors import FormatError
from inchwater.survey import (
    CALLS,
    KEYS,
    TEST_POINTS,
    WORK_KINDS,
    BlowerTable,
    Branch,
    Bypass,
    Change,
    Coil,
    Duct,
    Filter,
    Grille,
    HeatKit,
    Instrument,
    Job,
    Leakage,
    Place,
    Reading,
    Return,
    RiseRange,
    Room,
    Supply,
    Survey,
    Targets,
    Transfer,
    Trial,
    Unit,
    Wish,
    WorkRecord,
    YearlyUse,
    job_from_dict,
    schema,
)
from inchwater.survey.ducts import Material, Purpose, ReturnKind, Shape, Slack
from inchwater.survey.facts import UNITS_BY_KIND, How
from inchwater.survey.schema import VALUE_KEYS
from inchwater.survey.trials import KINDS, READ_AT, Quantity
from inchwater.survey.unit import Included, Motor, UnitKind
from inchwater.survey.work import Result, When, Why

SAMPLE = json.loads((Path(__file__).parent / "samples" / "job-v7.json").read_text("utf-8"))
DEFINITIONS = schema()["$defs"]
# What is kept by ``changes.apply`` or named otherwise in the document, per class.
ELSEWHERE = {
    "filter": ({"renewed", "before"}, set()),
    "grille": ({"before"}, set()),
    "return": ({"renewed"}, set()),
    "branch": ({"renewed"}, set()),
    "coil": ({"renewed"}, set()),
    "leakage": ({"renewed", "before"}, set()),
    "supply": ({"section", "renewed"}, set()),
    "transfer": ({"renewed"}, set()),
    "unit": ({"renewed"}, set()),
    "survey": ({"place"}, set()),
    "reading": ({"value"}, set(VALUE_KEYS.values())),
}


def test_the_schema_is_itself_valid():
    """It keeps to JSON Schema 2020-12."""
    Draft202012Validator.check_schema(schema())


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("place", Place),
        ("survey", Survey),
        ("unit", Unit),
        ("table", BlowerTable),
        ("filter", Filter),
        ("coil", Coil),
        ("grille", Grille),
        ("duct", Duct),
        ("return", Return),
        ("supply", Supply),
        ("branch", Branch),
        ("heat_kit", HeatKit),
        ("bypass", Bypass),
        ("room", Room),
        ("transfer", Transfer),
        ("leakage", Leakage),
        ("change", Change),
        ("trial", Trial),
        ("reading", Reading),
        ("instrument", Instrument),
        ("targets", Targets),
        ("rise_range", RiseRange),
        ("use", YearlyUse),
        ("wish", Wish),
        ("work", WorkRecord),
    ],
)
def test_schema_and_dataclass_have_the_same_fields(name, kind):
    """A field that is added on one side only is found here."""
    only_class, only_schema = ELSEWHERE.get(name, (set(), set()))
    in_class = {field.name for field in fields(kind)} - only_class
    assert set(DEFINITIONS[name]["properties"]) - only_schema == in_class
    assert DEFINITIONS[name]["additionalProperties"] is False


def test_the_document_has_the_fields_of_a_job():
    """At the top stand the job's fields, the place, the format and the version."""
    in_class = {field.name for field in fields(Job)}
    assert set(schema()["properties"]) == in_class | {"format", "version", "place"}


@pytest.mark.parametrize(
    ("path", "words"),
    [
        (("unit", "kind"), typing.get_args(UnitKind)),
        (("unit", "motor"), typing.get_args(Motor)),
        (("duct", "material"), typing.get_args(Material)),
        (("duct", "slack"), typing.get_args(Slack)),
        (("duct", "shape"), typing.get_args(Shape)),
        (("return", "kind"), typing.get_args(ReturnKind)),
        (("reading", "quantity"), typing.get_args(Quantity)),
        (("change", "kind"), tuple(KEYS)),
        (("room", "purpose"), typing.get_args(Purpose)),
        (("wish", "call"), CALLS),
        (("work", "kind"), WORK_KINDS),
        (("work", "when"), typing.get_args(When)),
        (("work", "result"), typing.get_args(Result)),
        (("work", "why"), typing.get_args(Why)),
    ],
)
def test_schema_and_types_have_the_same_words(path, words):
    """The choices of a word are the same in both."""
    definition, key = path
    assert tuple(DEFINITIONS[definition]["properties"][key]["enum"]) == tuple(words)


def test_every_place_of_a_reading_fits_the_schema_and_nothing_else():
    """Test points by their word, parts by a word that some quantity is read at, and an id."""
    rule = re.compile(DEFINITIONS["read_at"]["pattern"])
    places = {place for found in READ_AT.values() for place in found} | set(TEST_POINTS)
    for place in places:
        assert rule.match(place + "r1" if place.endswith(":") else place)
    for wrong in ("", "run", "run:", "run:r 1", "boot:r1", "return:g1\n", "supply:r1", "runs:r1"):
        assert not rule.match(wrong)
    words = set(re.findall("[a-z-]+", rule.pattern.partition("[A-Z")[0]))
    assert words == {place.removesuffix(":") for place in places}


def test_every_quantity_has_its_key_its_places_and_its_kind():
    """No quantity is forgotten where one is written, placed, converted or limited."""
    quantities = typing.get_args(Quantity)
    for table in (VALUE_KEYS, READ_AT, KINDS):
        assert tuple(table) == quantities
    conditional = DEFINITIONS["reading"]["allOf"]
    assert [one["if"]["properties"]["quantity"]["const"] for one in conditional] == [*quantities]
    assert {one["then"]["required"][0] for one in conditional} == set(VALUE_KEYS.values())


def test_boundary_and_how_have_the_same_words():
    """What a table includes and how a fact is known."""
    items = DEFINITIONS["table"]["properties"]["includes"]["items"]["enum"]
    assert tuple(items) == typing.get_args(Included)
    assert DEFINITIONS["how"]["enum"] == [how.value for how in How]


def test_a_change_takes_every_key_that_some_kind_takes():
    """``to`` of the schema is the union of what the kinds take."""
    keys = {key.rstrip("*") for taken in KEYS.values() for key in taken}
    assert set(DEFINITIONS["change"]["properties"]["to"]["properties"]) == keys


# The schema calls a moment ``time``, so that a stretch of time has another name there.
_NAMED = {"time": "hours"}
_IN_SCHEMA = [kind for kind in UNITS_BY_KIND if _NAMED.get(kind, kind) in DEFINITIONS]


@pytest.mark.parametrize("kind", _IN_SCHEMA)
def test_every_unit_of_the_schema_converts(kind):
    """The units of each kind of fact are those that a file may hold, and all are known."""
    names = DEFINITIONS[_NAMED.get(kind, kind)]["properties"]["unit"]["enum"]
    assert tuple(names) == UNITS_BY_KIND[kind]
    kind = {"heat_power": "power", "heat_output": "power"}.get(kind, kind)
    assert {units.unit(name).kind for name in names} == {kind}


def test_calls_have_the_same_words():
    """The calls that map to a tap, and those of which it is known how."""
    for key in ("calls", "calls_how"):
        assert tuple(DEFINITIONS["unit"]["properties"][key]["properties"]) == CALLS


def seen(node: dict, value: object, path: str = "") -> set[str]:
    """Every key of the schema that a document uses: ``duct.sag``."""
    if "$ref" in node:
        path = node["$ref"].removeprefix("#/$defs/")
        node = DEFINITIONS[path]
    if isinstance(value, list):
        return set().union(*(seen(node["items"], one, path) for one in value))
    if not isinstance(value, dict) or "properties" not in node:
        return set()
    below = (seen(node["properties"][key], inner, f"{path}.{key}") for key, inner in value.items())
    return {f"{path}.{key}" for key in value}.union(*below)


def test_the_stored_sample_uses_every_key():
    """What a version can say is kept in its sample, so that no later program forgets to read it."""
    keys = {
        f"{name}.{key}"
        for name, definition in DEFINITIONS.items()
        for key in definition.get("properties", {})
    }
    units_of_cells = {key for key in keys if key.startswith("row.")}
    used = seen(schema(), SAMPLE)
    assert keys - units_of_cells - used == set()


def changed(path: list, value: object, remove: bool = False) -> dict:
    """The sample with one value exchanged or removed."""
    document = copy.deepcopy(SAMPLE)
    at = document
    for step in path[:-1]:
        at = at[step]
    if remove:
        del at[path[-1]]
    else:
        at[path[-1]] = value
    return document


@pytest.mark.parametrize(
    ("path", "value", "text"),
    [
        (
            ["survey", "unit", "kind"],
            "furnance",
            "survey.unit.kind: 'furnance' came; one of air-handler, furnace, packaged is wanted. "
            "Did you mean furnace?",
        ),
        (
            ["survey", "unit", "capacty"],
            3,
            "survey.unit: the key 'capacty' came; keys here are kind, capacity, motor, "
            "tesp_rating, table, tap, calls, calls_how, nominal_volts, wheel, heat, heat_kit, "
            "heat_output, heat_output_low, rise, sensible_share, leak_airflow, count. "
            "Did you mean capacity?",
        ),
        (
            ["survey", "unit", "capacity", "unit"],
            "tons",
            "survey.unit.capacity.unit: 'tons' came; one of ton, kw_cooling, w_cooling is wanted. "
            "Did you mean ton?",
        ),
        (
            ["survey", "unit", "capacity"],
            3,
            "survey.unit.capacity: 3 came; an object is wanted.",
        ),
        (
            ["survey", "returns"],
            {},
            "survey.returns: {} came; a list is wanted.",
        ),
        (
            ["survey", "unit", "count"],
            "two",
            "survey.unit.count: 'two' came; a whole number is wanted.",
        ),
        (
            ["survey", "unit", "count"],
            0,
            "survey.unit.count: 0 came; it is 1 or more.",
        ),
        (
            ["survey", "returns", 0, "duct"],
            {"diameter": {"value": "six", "unit": "in", "how": "seen"}},
            "survey.returns[0].duct.diameter.value: 'six' came; a number is wanted.",
        ),
        (
            ["survey", "returns", 0, "duct"],
            {"diameter": {"value": 6, "unit": "in"}},
            "survey.returns[0].duct.diameter.how: nothing came; this cannot be left out.",
        ),
        (
            ["survey", "coils", 0, "inside_unit"],
            "yes",
            "survey.coils[0].inside_unit: 'yes' came; true or false is wanted.",
        ),
        (
            ["survey", "filters", 0, "id"],
            "f 1",
            "survey.filters[0].id: 'f 1' came; an id is letters, digits, dots, dashes, at most 64 "
            "of them.",
        ),
        (
            ["survey", "unit", "table", "rows"],
            [],
            "survey.unit.table.rows: [] came; it cannot be empty.",
        ),
        (
            ["survey", "supply", "branches", 0, "branches", 0, "branches"],
            [],
            "survey.supply.branches[0].branches[0].branches: [] came; a trunk has runs below it, "
            "and a run is written without this key.",
        ),
        (
            ["survey", "unit", "table", "rows", 0],
            {"tap": "3", "airflow_cfm": 700},
            "survey.unit.table.rows[0]: neither or both came; one of tesp_inwc or tesp_pa is "
            "wanted.",
        ),
        (
            ["survey", "unit", "table", "rows", 0, "airflow_ls"],
            300,
            "survey.unit.table.rows[0]: more than one came; one airflow and one speed, each in one "
            "unit, is wanted.",
        ),
        (
            ["survey", "unit", "table", "rows", 0, "airflow_cfm"],
            0,
            "survey.unit.table.rows[0].airflow_cfm: 0 came; it is above 0.",
        ),
        (
            ["survey", "unit", "table", "includes"],
            ["coil-dry", "coil-dry"],
            "survey.unit.table.includes: ['coil-dry', 'coil-dry'] came; each word stands there "
            "once.",
        ),
        (
            ["trials", 0, "readings", 0, "value_w"],
            4,
            "trials[0].readings[0]: more than one came; the value of a static reading is value_pa "
            "alone.",
        ),
        (
            ["trials", 0, "readings", 0, "at"],
            "retrun",
            "trials[0].readings[0].at: 'retrun' came; a test point is before-filter, return, "
            "before-coil, supply or unit; at a part it is trunk:<id>, run:<id>, return:<id>, "
            "filter:<id>, coil:<id>, register:<run id> or grille:<return id>. "
            "Did you mean return?",
        ),
        (
            ["trials", 0, "readings", 0, "quantity"],
            "rise",
            "trials[0].readings[0].quantity: 'rise' came; one of static, drop, airflow, "
            "temperature-rise, power, voltage, speed is wanted.",
        ),
        (
            ["place", "built"],
            20030,
            "place.built: 20030 came; it is 2200 or less.",
        ),
        (
            ["name"],
            "x" * 2001,
            f"name: {repr('x' * 2001)[:60]}… came; it has at most 2000 characters.",
        ),
        (
            ["place", "space"],
            "",
            "place.space: '' came; it cannot be empty.",
        ),
    ],
)
def test_a_complaint_of_the_schema_says_what_would_be_right(path, value, text):
    """Path, what came and what would be right; a word that is near is offered."""
    with pytest.raises(FormatError) as caught:
        job_from_dict(changed(path, value))
    assert str(caught.value) == text


def test_what_cannot_be_left_out_is_named():
    """A missing key is named by its path."""
    with pytest.raises(FormatError) as caught:
        job_from_dict(changed(["trials", 0, "readings", 0, "value_pa"], None, remove=True))
    assert str(caught.value) == (
        "trials[0].readings[0].value_pa: nothing came; this cannot be left out."
    )


def test_null_is_refused_with_the_difference_between_unknown_and_none():
    """Leaving out is unknown, an empty list is none; null says neither."""
    with pytest.raises(FormatError) as caught:
        job_from_dict(changed(["survey", "filters"], None))
    assert str(caught.value) == (
        "survey.filters: null came; a missing key is unknown, and an empty list is known to be "
        "none. Leave the key out when it is not known."
    )
