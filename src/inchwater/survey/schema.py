"""The JSON Schema of a job document, and what its complaints mean in words.

The schema itself is ``data/job.schema.json`` (JSON Schema 2020-12); ``inchwater schema`` prints
it.  A complaint of the validator becomes an error with the path, what came and what would be right.
"""

from __future__ import annotations

import difflib
import json
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from inchwater.errors import FormatError
from inchwater.survey.form import path_text, short
from inchwater.survey.trials import TEST_POINTS

if TYPE_CHECKING:
    from jsonschema import Draft202012Validator, ValidationError

# The key that holds a reading's SI value, by its quantity.
VALUE_KEYS = {
    "static": "value_pa",
    "drop": "value_pa",
    "airflow": "value_m3s",
    "temperature-rise": "value_k",
    "power": "value_w",
    "voltage": "value_v",
    "speed": "value_rads",
}
# What a cell of a blower table holds; the keys are these with a unit: ``tesp_inwc``.
ROW_KINDS = {"tesp": "pressure", "airflow": "airflow", "power": "power", "speed": "speed"}

_TYPES = {
    "object": "an object",
    "array": "a list",
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
}


def schema() -> dict[str, Any]:
    """The JSON Schema of a job document of the current version."""
    text = files("inchwater.survey").joinpath("data/job.schema.json").read_text("utf-8")
    document: dict[str, Any] = json.loads(text)
    return document


@cache
def _validator() -> Draft202012Validator:
    from jsonschema import Draft202012Validator

    return Draft202012Validator(schema())


def validate(document: Mapping[str, Any]) -> None:
    """Refuse a document that the schema does not allow.

    Parameters
    ----------
    document : mapping
        A document of the current version.

    Raises
    ------
    FormatError
        For the first complaint in the document's order, with its path.
    """
    complaints = list(_validator().iter_errors(document))
    if complaints:
        # What stands nearest to the top is the cause of what stands below it.
        raise _error(min(complaints, key=lambda one: len(one.absolute_path)))


def _error(complaint: ValidationError) -> FormatError:
    path = tuple(complaint.absolute_path)
    where = path_text(path)
    value: Any = complaint.instance
    rule: Any = complaint.validator_value
    here: Any = complaint.schema
    came, do = short(value), ""
    match complaint.validator:
        case "type":
            right = f"{_TYPES[str(rule)]} is wanted"
        case "const":
            right = f"{rule!r} is wanted"
        case "enum":
            right = f"one of {', '.join(map(str, rule))} is wanted"
            do = _meant(value, rule)
        case "required":
            missing = next(key for key in rule if key not in value)
            where, came = path_text((*path, missing)), "nothing"
            right = "this cannot be left out"
        case "additionalProperties":
            known = list(here["properties"])
            extra = next(key for key in value if key not in known)
            came = f"the key {short(extra)}"
            right = f"keys here are {', '.join(known)}"
            do = _meant(extra, known)
        case "oneOf":
            came = "neither or both"
            right = "one of " + " or ".join(choice["required"][0] for choice in rule) + " is wanted"
        case "not":
            came, right = "more than one", str(rule["description"])
        case "exclusiveMinimum":
            right = f"it is above {rule:g}"
        case "minimum":
            right = f"it is {rule:g} or more"
        case "maximum":
            right = f"it is {rule:g} or less"
        case "minLength" | "minItems":
            right = str(here.get("description", "it cannot be empty"))
        case "maxLength":
            right = f"it has at most {rule} characters"
        case "uniqueItems":
            right = "each word stands there once"
        case "pattern":
            right = str(here["description"])
            do = _meant(value, list(TEST_POINTS)) if path[-1] == "at" else ""
        case _:
            right = complaint.message
    return FormatError(where=where, came=came, right=right, do=do)


def _meant(value: Any, choices: list[Any]) -> str:
    words = [choice for choice in choices if isinstance(choice, str)]
    near = difflib.get_close_matches(str(value), words, n=1)
    return f"Did you mean {near[0]}?" if near else ""
