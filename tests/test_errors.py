"""Errors: four fields, one text, one JSON form, and the built-in kind that one expects."""

from __future__ import annotations

import inspect
import pickle

import pytest

from inchwater import errors
from inchwater.errors import (
    ConvergenceError,
    DoubtError,
    FormatError,
    InchwaterError,
    InputError,
    NotPossibleError,
    OutsideTableError,
    PartError,
    TableError,
    UnknownNameError,
)

KINDS = [
    kind
    for _, kind in inspect.getmembers(errors, inspect.isclass)
    if issubclass(kind, InchwaterError)
]


def test_the_text_is_made_of_the_four_fields():
    """Where, what came, what would be right, what to do next."""
    error = InputError(
        where="runs[3].diameter",
        came="6.0 m",
        right="flex ducts run from 0.08 to 0.56 m",
        do="Did you mean 6 in?",
    )
    assert str(error) == (
        "runs[3].diameter: 6.0 m came; flex ducts run from 0.08 to 0.56 m. Did you mean 6 in?"
    )


def test_what_to_do_may_be_left_out():
    """The text then ends after what would be right."""
    assert str(InputError(where="a", came="b", right="c is wanted")) == "a: b came; c is wanted."


def test_a_unit_that_ends_in_a_full_stop_brings_no_second_one():
    """``in. w.c.`` ends the sentence by itself."""
    text = str(InputError(where="a", came="9 in. w.c.", right="it is at most 5 in. w.c."))
    assert text == "a: 9 in. w.c. came; it is at most 5 in. w.c."


def test_a_doubt_is_a_question():
    """Its text reads as sentences, its document says what can be used or kept."""
    doubt = DoubtError(
        where="Supply static",
        came="150",
        right="ducts show 0.05–1.5 in. w.c.",
        do="150 Pa is 0.60. Use 0.60 / Keep 150",
        suggestion="0.60",
        keep="150",
    )
    assert str(doubt) == (
        "Supply static: 150 came. Ducts show 0.05–1.5 in. w.c. 150 Pa is 0.60. Use 0.60 / Keep 150"
    )
    assert str(DoubtError(where="a", came="b", right="c")) == "a: b came. C."
    error = doubt.to_dict()["error"]
    assert (error["suggestion"], error["other"], error["keep"]) == ("0.60", "", "150")


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_the_one_json_form(kind):
    """``{"error": {kind, where, came, right, do}}``, whatever went wrong."""
    document = kind(where="a", came="b", right="c", do="d").to_dict()
    assert list(document) == ["error"]
    assert list(document["error"])[:5] == ["kind", "where", "came", "right", "do"]
    assert document["error"]["kind"] == kind.__name__
    assert [document["error"][key] for key in ("where", "came", "right", "do")] == list("abcd")


@pytest.mark.parametrize("kind", KINDS)
def test_fields_go_by_name_only(kind):
    """No text can go out with a field in the wrong place, or without one."""
    with pytest.raises(TypeError):
        kind("a", "b", "c")
    with pytest.raises(TypeError):
        kind(where="a", came="b")


@pytest.mark.parametrize(
    ("kind", "built_in"),
    [
        (InputError, ValueError),
        (DoubtError, ValueError),
        (FormatError, ValueError),
        (TableError, ValueError),
        (OutsideTableError, ValueError),
        (PartError, ValueError),
        (UnknownNameError, LookupError),
        (ConvergenceError, ArithmeticError),
        (NotPossibleError, ValueError),
    ],
)
def test_each_kind_is_the_built_in_one_too(kind, built_in):
    """``except ValueError`` of a Python programmer works."""
    assert issubclass(kind, built_in)
    assert issubclass(kind, InchwaterError)


def test_no_kind_is_forgotten():
    """Every kind is the base or a built-in exception besides."""
    for kind in KINDS:
        assert kind is InchwaterError or len(kind.__mro__) > len(InchwaterError.__mro__) + 1


@pytest.mark.parametrize("kind", KINDS)
def test_an_error_survives_a_journey_between_processes(kind):
    """A worker's error arrives with its fields."""
    error = kind(where="a", came="b", right="c", do="d")
    again = pickle.loads(pickle.dumps(error))
    assert str(again) == str(error)
    assert again.to_dict() == error.to_dict()
