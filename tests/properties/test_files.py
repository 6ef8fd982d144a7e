"""Properties of files: what is written is read, whatever a job holds or somebody broke."""

from __future__ import annotations

import copy
import io
import json
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from inchwater import units
from inchwater.errors import InchwaterError
from inchwater.survey import (
    TableRow,
    doubts,
    job_from_dict,
    job_to_dict,
    load,
    problems,
    read_table,
    schema,
)
from inchwater.survey.facts import UNITS_BY_KIND, shortest
from tests.properties.jobs import jobs
from tests.survey.houses import house, job

whole_jobs = settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
VALIDATOR = Draft202012Validator(schema())


@whole_jobs
@given(jobs())
def test_a_job_comes_back_from_its_file_to_the_last_bit(one):
    """Job → document → text → document → job is the same job, and the document the same."""
    document = job_to_dict(one)
    text = json.dumps(document, ensure_ascii=False, allow_nan=False)
    again = job_from_dict(json.loads(text))
    assert again == one
    assert job_to_dict(again) == document
    assert load(io.BytesIO(text.encode())) == one


@whole_jobs
@given(jobs())
def test_every_document_keeps_to_the_schema(one):
    """What is written needs no reader of ours to be understood."""
    assert list(VALIDATOR.iter_errors(json.loads(json.dumps(job_to_dict(one))))) == []
    assert problems(one) == ()
    doubts(one)


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=8,
)


def read(document):
    """The job of a document, or the error of ours that it ends in."""
    try:
        return job_from_dict(document)
    except InchwaterError as error:
        return error


def places(value, path=()):
    """Every path into a document."""
    yield path
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from places(inner, (*path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from places(inner, (*path, index))


SAMPLE = json.loads((Path(__file__).parents[1] / "survey/samples/job-v3.json").read_text("utf-8"))
WORDS = st.sampled_from(["drop", "g1", "t2", "r1", "den", "common", "shut", "boot-angle", "oval"])


@settings(max_examples=300, deadline=None)
@given(st.data(), st.sampled_from([job_to_dict(job(house())), SAMPLE]), json_values | WORDS)
def test_a_broken_document_ends_in_an_error_of_ours_or_in_a_job(data, whole, value):
    """Whatever stands wherever: no other exception, and every error says what would be right."""
    document = copy.deepcopy(whole)
    path = data.draw(st.sampled_from([path for path in places(document) if path]))
    at = document
    for step in path[:-1]:
        at = at[step]
    at[path[-1]] = value
    outcome = read(document)
    if isinstance(outcome, InchwaterError):
        assert outcome.where
        assert outcome.came
        assert outcome.right
    else:
        assert problems(outcome) == ()
        for doubt in doubts(outcome):
            assert doubt.came
            assert doubt.right


@settings(max_examples=200, deadline=None)
@given(
    st.binary(max_size=200) | st.text(max_size=200).map(lambda text: text.encode("utf-8", "ignore"))
)
def test_any_bytes_end_in_an_error_of_ours(raw):
    """No file of noise is a job, and none is a trace."""
    with pytest.raises(InchwaterError):
        load(io.BytesIO(raw))
    with pytest.raises(InchwaterError):
        read_table(io.BytesIO(raw))


@settings(deadline=None)
@given(
    st.integers(2, 9),
    st.integers(400, 2000),
    st.lists(st.integers(0, 40), min_size=9, max_size=9),
    st.sampled_from([(",", "."), (";", ","), ("\t", "."), (";", ".")]),
    st.sampled_from(["", "-", "–"]),
)
def test_a_table_comes_back_from_any_kind_of_csv(count, first, steps, marks, dash):
    """Separator, decimal mark and dash are those of the country; the cells are the same."""
    separator, point = marks
    flows = [first - sum(steps[:n]) for n in range(count)]
    lines = [separator.join(("tap", "tesp_inwc", "airflow_cfm"))]
    for n, flow in enumerate(flows, start=1):
        lines.append(separator.join(("high", f"0{point}{n}", str(flow))))
    lines.append(separator.join(("high", f"1{point}0", dash)))
    rows = read_table("\n".join(lines)).rows
    expected = [
        TableRow("high", units.to_si(n / 10, "inwc"), units.to_si(float(flow), "cfm"))
        for n, flow in enumerate(flows, start=1)
    ]
    assert list(rows) == [*expected, TableRow("high", units.to_si(1.0, "inwc"), None)]


@given(st.sampled_from(sorted(UNITS_BY_KIND)), st.floats(-1e9, 1e9))
def test_the_shortest_unit_loses_nothing(kind, si):
    """Whatever the SI value, what is written brings it back exactly."""
    name, value = shortest(si, UNITS_BY_KIND[kind])
    assert units.to_si(value, name) == si
