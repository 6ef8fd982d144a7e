"""``describe``: every fact of the pages, typed at the prompt with the same words.

A field is what the pages call a field; its text is read, refused and placed as they do it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated, Any

import typer

from inchwater.cli import frame, options
from inchwater.errors import InchwaterError, InputError, UnknownNameError

if TYPE_CHECKING:
    from inchwater.app.visits.fields import Field

# What a field of the page is about, where it has no place in the survey.
_ELSEWHERE = ("supply_at", "coil_wet")
_NO_SURVEY = ("complaint", "trial2")
# A longer list of choices is in the JSON form.
_FEW = 20
_NUMBERED = re.compile(r"\[[0-9]+\]")


def describe(
    job_path: options.JobPath,
    facts: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[FIELD=TEXT]...",
            help="As on the pages: 'trunks=t1: 16 x 8 metal, 20 ft'. Lines are parted by "
            "semicolons, no text makes a field unknown again; without any field all are listed.",
        ),
    ] = None,
    keep: options.Keep = False,
    si: options.Si = False,
    as_json: options.Json = False,
) -> None:
    """Describe the system of a job file: ducts, filters, doors, calls; no field lists them all."""
    from inchwater import survey
    from inchwater.app.visits.parsing import parse, understood
    from inchwater.app.visits.placing import place, text_of

    system = options.system_of(si)
    job = survey.load(job_path)
    document: dict[str, Any] = survey.job_to_dict(job)
    known = _fields()
    if not facts:
        _list(list(known.values()), document, si, as_json)
        return
    said = []
    for fact in facts:
        name, equals, text = fact.partition("=")
        if not equals:
            raise InputError(
                where="describe",
                came=repr(fact),
                right="a fact is FIELD=TEXT",
                do=f"'inchwater describe {job_path}' lists the fields.",
            )
        field = _field(known, name.strip())
        value = parse(field, text, system, keep=keep)
        document = place(document, field, value)
        said.append((field, "not known" if value is None else understood(field, value, system)))
    with _labelled([field for field, _ in said]):
        job = survey.job_from_dict(document)
    survey.save(job, job_path)
    if as_json:
        stands = {field.name: text_of(document, field, system) for field, _ in said}
        frame.document({"job": str(job_path), "described": stands})
        return
    out = frame.console()
    for field, words in said:
        out.print(f"{field.label}: {words}.")
    out.print(f"'inchwater findings {job_path} --tree' shows every part of it.")


def _fields() -> dict[str, Field]:
    """The fields whose facts stand in the survey, in the order of the pages."""
    from inchwater.app.visits.fields import CELLS, FIELDS

    return {
        name: field
        for name, field in FIELDS.items()
        if not field.is_reading
        and field.group not in _NO_SURVEY
        and name not in _ELSEWHERE
        and name.partition("_")[0] not in CELLS
    }


@contextmanager
def _labelled(typed: Sequence[Field]) -> Iterator[None]:
    """Say the label of the field that was typed in an error instead of its place in the job."""
    labels = {field.path: field.label for field in typed if field.path}
    if len(typed) == 1:
        # Nothing else was changed, so it is this field wherever the error was found.
        labels |= dict.fromkeys(("survey", "place", "trials"), typed[0].label)
    try:
        yield
    except InchwaterError as error:
        at = _NUMBERED.sub(".*", error.where)
        label = frame.option_of(at, labels)
        if label != at:
            error.where = label
        raise


def _field(known: dict[str, Field], name: str) -> Field:
    if name not in known:
        raise UnknownNameError(
            where="describe",
            came=repr(name),
            right=f"fields are {', '.join(known)}",
            do="Readings are added by 'inchwater reading'.",
        )
    return known[name]


def _list(known: list[Field], document: dict[str, Any], si: bool, as_json: bool) -> None:
    """Every field with its words, and what stands in it."""
    from inchwater.app.visits.placing import text_of

    system = options.system_of(si)
    if as_json:
        frame.document(
            {
                "fields": [
                    {
                        "name": field.name,
                        "label": field.label,
                        "help": field.help,
                        "unit": field.unit(system),
                        "choices": [one.value for one in field.choices],
                        "usual": field.placeholder(system),
                        "text": text_of(document, field, system),
                    }
                    for field in known
                ]
            }
        )
        return
    out = frame.console()
    group = ""
    for field in known:
        if field.group != group:
            group = field.group
            out.print()
        unit = field.unit_label(system)
        label = f"{field.label} ({unit})" if unit else field.label
        out.print(f"{field.name}: {label}. {field.help}")
        if field.choices and len(field.choices) <= _FEW:
            out.print(f"    one of {', '.join(one.value for one in field.choices)}")
        elif field.placeholder(system):
            out.print(f"    {field.placeholder(system)}")
        for line in text_of(document, field, system).splitlines():
            out.print(f"    = {line}")
