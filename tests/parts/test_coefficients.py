"""Coefficient tables: read as SI, with a source each, and refused when they are not whole."""

from __future__ import annotations

from importlib import resources

import pytest

from inchwater.errors import FormatError, UnknownNameError
from inchwater.parts import coefficients
from inchwater.units import to_si

TABLES = sorted(
    path.name.removesuffix(".csv")
    for path in resources.files("inchwater.parts.data").iterdir()
    if path.name.endswith(".csv")
)


@pytest.mark.parametrize("name", TABLES)
def test_every_number_has_a_source_a_place_and_a_status(name):
    """Each row of each table of parts says where its number is from."""
    rows = coefficients.table(name)
    assert rows
    for row in rows.values():
        assert row.source
        assert row.place
        assert row.status in coefficients.STATUSES


def test_values_become_si_on_reading():
    """0.003 ft of roughness is read in metres."""
    assert coefficients.value("roughness", "flex") == pytest.approx(to_si(0.003, "ft"))


def written(folder, text: str):
    """A table of this text, in a package of its own."""
    (folder / "bad.csv").write_text(text, encoding="utf-8")
    return folder


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "key,value,unit,source,status\n",
            "bad.csv: a header without place came; the columns key, value, unit, source, place, "
            "status are needed.",
        ),
        (
            "key,value,unit,source,place,status\na,1,1,s,p,guessed\n",
            "bad.csv, line 2: the status 'guessed' came; a status is one of read, memory, "
            "computed, common practice, no source, proposed.",
        ),
        (
            "key,value,unit,source,place,status\na,1,1,s,p,read\na,2,1,s,p,read\n",
            "bad.csv, line 3: 'a' a second time came; a key comes once.",
        ),
    ],
)
def test_a_table_that_is_not_whole_is_refused(text, message, tmp_path, monkeypatch):
    """A missing column, an unknown status and a double key are each named."""
    monkeypatch.setattr(coefficients.resources, "files", lambda _: written(tmp_path, text))
    coefficients.table.cache_clear()
    with pytest.raises(FormatError) as caught:
        coefficients.table("bad")
    coefficients.table.cache_clear()
    assert str(caught.value) == message


def test_a_wrong_name_is_told_the_choices():
    """The choices come in the table's order."""
    with pytest.raises(UnknownNameError) as caught:
        coefficients.choose("c", {"b": 1, "a": 2}, "letter")
    assert str(caught.value) == "letter: 'c' came; choices are b, a."
