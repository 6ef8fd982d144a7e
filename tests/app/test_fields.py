"""The table of the page's fields: complete, in words, and each with a place for its value."""

from __future__ import annotations

import pytest

from inchwater import units
from inchwater.app.visits.fields import CELLS, FIELDS, GROUPS, field, group
from inchwater.app.visits.recording import _OF_VISIT
from inchwater.errors import UnknownNameError
from inchwater.parts.filters import GRADES
from inchwater.survey.schema import schema
from inchwater.survey.trials import READ_AT, TEST_POINTS

LEAKAGE = ("sealing", "airflow", "pressure")
# Fields whose value goes to a place that a rule names and no path.
BY_RULE = {
    *("supply_at", "coil_wet", "filter_at", "trunk_diameter", "trunk_length", "trial2_state"),
    *("calls_how", "heat_kit_at", "bypass", "bypass_diameter", "bypass_damper"),
    *(f"{side}_leak_{what}" for side in ("supply", "return") for what in LEAKAGE),
    *_OF_VISIT,
}


def test_every_field_is_in_a_part_of_the_page():
    """No field is left out, and no part is empty."""
    assert [one.name for name in GROUPS for one in group(name)] == [
        name for part in GROUPS for name in FIELDS if FIELDS[name].group == part
    ]
    assert {one.group for one in FIELDS.values()} == set(GROUPS)


@pytest.mark.parametrize("name", FIELDS)
def test_a_field_can_be_shown_and_kept(name):
    """Label and help are words, the unit exists in both systems, the value has a place."""
    one = field(name)
    assert one.label
    assert one.help.endswith(".") or name == "complaint"
    assert one.waits_for == tuple(
        start for start in one.waits_for if any(other.startswith(start) for other in FIELDS)
    )
    if one.kind in ("choice", "choices"):
        assert len({choice.value for choice in one.choices}) == len(one.choices) >= 2
        assert all(choice.label for choice in one.choices)
    else:
        assert one.choices == ()
    if one.kind in ("quantity", "size"):
        for system in ("ip", "si"):
            assert one.unit(system) in units.UNITS
            assert one.unit_label(system)
        assert one.input_mode == ("decimal" if one.kind == "quantity" else "text")
    else:
        assert one.unit("ip") is None
        assert one.unit_label("ip") == ""
    if one.is_reading:
        assert one.point in TEST_POINTS
        assert one.point in READ_AT[one.reading]
    elif not any(name.startswith(cell) for cell in CELLS):
        assert bool(one.path) != (name in BY_RULE)


def test_the_short_path_has_three_numbers_and_two_choices():
    """Capacity, two statics, the kind of unit, and where the supply was read; no more."""
    thin = [one for one in FIELDS.values() if one.thin]
    assert [one.name for one in thin if one.kind == "quantity"] == [
        "capacity",
        "return_static",
        "supply_static",
    ]
    assert [one.name for one in thin if one.kind == "choice"] == ["unit_kind", "supply_at"]
    assert len(thin) == 5


@pytest.mark.parametrize(
    ("name", "keys"),
    [
        ("unit_kind", ("unit", "kind")),
        ("motor", ("unit", "motor")),
        ("wheel", ("unit", "wheel")),
        ("filter_condition", ("filter", "condition")),
        ("coil_condition", ("coil", "condition")),
        ("return_kind", ("return", "kind")),
        ("return_slack", ("duct", "slack")),
        ("heat", ("unit", "heat")),
        ("supply_leak_sealing", ("leakage", "sealing")),
        ("return_leak_sealing", ("leakage", "sealing")),
    ],
)
def test_choices_are_the_words_of_the_job_file(name, keys):
    """Whatever can be chosen can be written, and whatever a file may say can be chosen."""
    definition, key = keys
    allowed = schema()["$defs"][definition]["properties"][key]["enum"]
    # A common return is one of several: it has a line among theirs.
    allowed = [word for word in allowed if word != "common"]
    assert sorted(one.value for one in FIELDS[name].choices) == sorted(allowed)


def test_filter_classes_are_those_of_the_table():
    """The page knows every class that the parts know."""
    assert [one.value for one in FIELDS["filter_grade"].choices] == list(GRADES)


def test_an_unknown_field_is_told():
    """A name of nothing is refused with the names there are."""
    with pytest.raises(UnknownNameError) as caught:
        field("colour")
    assert str(caught.value) == f"field: 'colour' came; fields are {', '.join(FIELDS)}."
