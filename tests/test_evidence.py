"""The evidence: enough of it, able to fail, none its own witness; the page is current."""

from __future__ import annotations

import importlib.util
from collections import Counter
from functools import partial
from pathlib import Path

import pytest

from tests import evidence

ROOT = Path(__file__).resolve().parents[1]


def tool():
    """tools/evidence.py as a module."""
    spec = importlib.util.spec_from_file_location("tools_evidence", ROOT / "tools" / "evidence.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def records():
    """What the checks of tests/references/ put on record, in an interpreter of their own."""
    return tool().collect()


# What rests on our data but is a ratio of two of its numbers, or is felt little by design: a range
# of wood, and metal's roughness in friction.
UNFELT = {"wet coil", "boot connection", "roughness cavity", "sizing table"}


@pytest.mark.slow
def test_spoilt_data_are_found_out(records):
    """With each coefficient of the parts 0.6 or 1.6 times itself, what rests on it fails."""
    found = set()
    for factor in ("0.6", "1.6"):
        failed, spoilt = tool().run("-p", "tests.spoilt", SPOILT=factor)
        assert "failed" in failed
        found |= {record.formula for record in spoilt if not evidence.holds(record)}
        # What the data refuse altogether comes to no record at all.
        found |= {r.formula for r in records} - {r.formula for r in spoilt}
    on_data = {
        key
        for key, formula in evidence.formulas().items()
        if any(part.startswith("parts/data/") for part in formula.own)
    }
    assert on_data - found == UNFELT


@pytest.mark.slow
def test_the_page_is_what_the_tests_give(records):
    """docs/evidence.md was written from these very checks (`make evidence` writes it anew)."""
    assert (ROOT / "docs" / "evidence.md").read_text("utf-8") == tool().page(records)


@pytest.mark.slow
def test_there_is_enough_evidence(records):
    """150 checks and more over 40 formulas and more, of one formula no more than 15 counted."""
    assert evidence.counted(records) >= 150
    assert len({record.formula for record in evidence.agreeing(records)}) >= 40


@pytest.mark.slow
def test_no_formula_is_listed_without_a_check(records):
    """Every row of formulas.csv is checked, every row of publications.csv checks or is a source."""
    assert set(evidence.formulas()) == {record.formula for record in records}
    used = {record.source for record in records}
    for key in evidence.formulas():
        used |= evidence.own_publications(key)
    assert set(evidence.publications()) == used


@pytest.mark.slow
def test_nothing_counts_twice(records):
    """One case of one place of one publication checks a formula once."""
    cases = Counter((r.formula, r.source, r.place, r.case) for r in records)
    assert [case for case, number in cases.items() if number > 1] == []


@pytest.mark.slow
def test_nothing_is_checked_by_its_own_source(records):
    """Neither a data row's source nor its place names the publication that checks it."""
    wrong = [r for r in records if r.source in evidence.own_publications(r.formula)]
    assert wrong == []


@pytest.mark.parametrize("key", evidence.formulas())
def test_every_formula_is_in_the_code(key):
    """What a formula names is there, and so are the data rows that it is from."""
    assert evidence.resolve(evidence.formulas()[key].code) is not None
    assert evidence.own_sources(key)


GOOD = {
    "formula": "friction rough",
    "source": "nikuradse",
    "place": "law of rough pipe",
    "case": "ε/D 0.01",
    "says": 0.0379,
    "got": 0.0380,
    "rel": 0.01,
    "status": "memory",
}


def refusal(**changed) -> str:
    """How a check with these changes is refused; nothing may be on record for it."""
    with pytest.raises(AssertionError) as caught:
        evidence.check([], "here", **{**GOOD, **changed})
    return str(caught.value).partition("\n")[0]


def test_a_good_check_goes_on_record():
    """The record holds what was said and what came out, to five digits."""
    made: list[evidence.Record] = []
    partial(evidence.check, made, "here")(**{**GOOD, "got": 0.037951234})
    assert [(r.says, r.got, r.test) for r in made] == [((0.0379,), 0.037951, "here")]


def test_a_check_can_fail():
    """A value outside the tolerance, or outside a range, is an assertion."""
    assert refusal(got=0.0390) == (
        "friction rough: Prandtl, von Kármán and Nikuradse, laws of smooth and of fully rough "
        "pipe, law of rough pipe, ε/D 0.01: says 0.0379 , we get 0.039 (tolerance 0.000379)"
    )
    assert "says 0.01 to 0.02 , we get 0.038" in refusal(says=(0.01, 0.02), rel=0.0)


def test_a_check_that_could_not_fail_is_refused():
    """No tolerance is as wide as the value itself, and none is missing."""
    assert refusal(abs=0.03) == "this check could hardly fail"
    assert refusal(rel=0.0) == "a number needs a tolerance"


def test_a_disagreement_is_told_as_it_is():
    """It is on record, counts nothing, and fails once the two come nearer or go further apart."""
    told = {**GOOD, "got": 0.0760, "rel": 0.0, "differs": (1.9, 2.1)}
    made: list[evidence.Record] = []
    evidence.check(made, "here", **told)
    assert evidence.counted(made) == 0
    assert evidence.Record.from_dict(made[0].as_dict()) == made[0]
    assert refusal(got=0.0600, rel=0.0, differs=(1.9, 2.1)).endswith(
        "says 0.0379 , we get 0.06 (stated as (1.9, 2.1))"
    )
    assert refusal(rel=0.0, differs=(0.9, 1.1)) == "this is an agreement"


def test_a_source_cannot_check_itself():
    """Colebrook's factor is checked by others, a fitting of ``fluids`` not by ``fluids``."""
    assert refusal(source="colebrook") == (
        "friction rough is from colebrook: its own source cannot check it"
    )
    assert "its own source" in refusal(formula="roughness metal", source="ashrae-2021")


def test_names_that_are_nowhere_are_refused():
    """Formulas, publications and statuses have lists."""
    assert refusal(formula="drag") == "'drag' is not in formulas.csv"
    assert refusal(source="a blog") == "'a blog' is not in publications.csv"
    assert refusal(status="guess") == "'guess' is no status"
