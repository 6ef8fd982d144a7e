"""Bad input, on the page, at the prompt and from Python alike: named, and the fit still there.

Trials that contradict each other, a condition that cannot be, ten readings of one point that
disagree, readings without an instrument, a part at the end of what is thought possible, and files
that point at what they do not have.
"""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from inchwater import answer
from inchwater.app.firms.services import make_local_firm
from inchwater.app.visits import services
from inchwater.rehearsal import demos
from inchwater.survey import Job, Reading, job_to_dict, minimal_job, save
from inchwater.survey.trials import RETURN_SIDE
from inchwater.units import to_si
from tests.app.test_pages import words
from tests.solved import inwc, read_in

A = demos()["a"]


def static(id_: str, at: str, inches: float) -> Reading:
    """A static as typed in in. w.c., without a sign."""
    sign = -1.0 if at in RETURN_SIDE else 1.0
    return Reading(id_, at, "static", f"{inches:.2f}", "inwc", sign * inwc(round(inches, 2)))


def contradicting() -> Job:
    """The first trial read once more, with another supply."""
    first = A.trials[0]
    readings = (static("again-1", "return", 0.09), static("again-2", "supply", 0.48))
    return replace(A, trials=(first, replace(first, id="t9", readings=readings)))


def impossible() -> Job:
    """A wet coil while it heats."""
    return replace(A, trials=(replace(A.trials[0], condition={"call": "heating", "coil": "wet"}),))


def unsteady() -> Job:
    """Nine more readings of one place, far apart."""
    first = A.trials[0]
    more = tuple(static(f"s{k}", "supply", 0.4 + 0.05 * k) for k in range(9))
    return replace(A, trials=(replace(first, readings=(*first.readings, *more)),))


def unheard_of() -> Job:
    """More push than ducts of houses show."""
    return minimal_job(
        capacity=to_si(2.5, "ton"),
        return_static=inwc(0.29),
        supply_static=inwc(1.9),
        typed={"return": ("0.29", "inwc"), "supply": ("1.9", "inwc")},
    )


def at_bound() -> Job:
    """A coil that resists far more than its size says, read alike in three trials."""
    house = demos()["b"]
    first = house.trials[0]
    readings = tuple(replace(r, id=f"hot-{r.id}") for r in first.readings)
    hot = {**first.condition, "call": "heating"}
    hot.pop("coil", None)
    third = replace(first, id="t8", condition=hot, readings=readings)
    return read_in(replace(house, trials=(*house.trials, third)), coil__c1=6.5)


def without_instrument() -> Job:
    """Nobody said what the two statics were read with."""
    first = A.trials[0]
    readings = tuple(replace(r, instrument=None) for r in first.readings)
    return replace(A, trials=(replace(first, readings=readings),))


@pytest.mark.parametrize(
    ("job", "says"),
    [
        (contradicting(), "Nearly as likely: "),
        (impossible(), "only cooling wets a coil."),
        (unsteady(), "The 10 readings in the supply plenum"),
        (unsteady(), "Together they count as one."),
        (unheard_of(), "ducts of houses seldom show more than 1.50 in. w.c."),
        (at_bound(), "at the end of what is thought possible of it: cooling coil."),
        (without_instrument(), "What an instrument does of its own: none is named for 2 readings"),
    ],
    ids=[
        "contradicting",
        "impossible",
        "unsteady",
        "as-one",
        "extreme",
        "at-bound",
        "no-instrument",
    ],
)
def test_it_is_named_everywhere_with_the_fit_beside_it(
    client: Client, db: None, tmp_path: Path, say: Callable[..., Any], job: Job, says: str
) -> None:
    """Python's answer, the prompt's text and the page hold the same words and an airflow."""
    found = answer(job, 1)
    assert says in " ".join([*(one.text.text() for one in found.doubts), *found.unseen])
    assert found.airflow.value > 0.0
    path = tmp_path / "job.json"
    save(job, path)
    code, out, err = say("findings", path)
    assert (code, err) == (0, "")
    assert says in " ".join(out.split())
    assert "Airflow through the blower" in out
    visit = services.import_job(*make_local_firm(), job)
    page = client.get(f"/visits/{visit.pk}/findings/")
    assert page.status_code == 200
    assert says in words(page)
    assert "leaves the blower" in words(page)


def test_what_cannot_be_right_stands_before_the_details(client: Client, db: None) -> None:
    """The doubt, then the act that it asks for, then where the pressure goes."""
    visit = services.import_job(*make_local_firm(), unsteady())
    page = words(client.get(f"/visits/{visit.pk}/findings/"))
    marks = (
        "To check again",
        "that was not steady",
        "Next: Read again first",
        "Where the pressure",
    )
    places = [page.index(mark) for mark in marks]
    assert places == sorted(places)


def broken(change: Callable[[dict[str, Any]], None]) -> bytes:
    """The file of house A with something in it changed by hand."""
    document = job_to_dict(A)
    change(document)
    return json.dumps(document).encode()


def an_unknown_filter(document: dict[str, Any]) -> None:
    document["trials"][0]["condition"]["filter:zz"] = "out"


def an_unlisted_instrument(document: dict[str, Any]) -> None:
    document["trials"][0]["readings"][0]["instrument"] = "m1"


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (
            broken(an_unknown_filter),
            "trials[0].condition: 'filter:zz' came; what filter: can name is f1, f2. Add the "
            "filter first.",
        ),
        (
            broken(an_unlisted_instrument),
            "trials[0].readings[0].instrument: 'm1' came; the instruments are i1. List it "
            "with its kind, or leave it out: then a usual one is taken.",
        ),
    ],
    ids=["unknown-filter", "unlisted-instrument"],
)
def test_a_file_that_points_at_nothing_is_refused_in_words(
    client: Client, db: None, tmp_path: Path, say: Callable[..., Any], raw: bytes, says: str
) -> None:
    """The page did not go through, which is no missing page; the prompt says the same."""
    file = io.BytesIO(raw)
    file.name = "job.json"
    page = client.post("/visits/upload/", {"job": file})
    assert page.status_code == 422
    assert "That did not go through" in words(page)
    assert says in words(page)
    path = tmp_path / "job.json"
    path.write_bytes(raw)
    code, _, err = say("findings", path)
    assert code == 2
    assert err.strip() == says


def test_a_job_without_trials_opens_at_its_reading(client: Client, db: None) -> None:
    """Described and never read: the page asks for the three numbers, and they give an answer."""
    firm, user = make_local_firm()
    visit = services.import_job(firm, user, replace(A, trials=()))
    opened = client.get(f"/visits/{visit.pk}/")
    assert (opened.status_code, opened["Location"]) == (302, f"/visits/{visit.pk}/reading/")
    assert client.get(opened["Location"]).status_code == 200
    for name, typed in (("return_static", "0.09"), ("supply_static", "0.68")):
        assert services.save_field(firm, visit.pk, name, typed).ok
    assert services.answer(firm, visit.pk).airflow.value > 0.0
