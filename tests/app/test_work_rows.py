"""Records of the work as a phone sends them: kept once, in order, and refused with the reason."""

from __future__ import annotations

from importlib import import_module

import pytest
from django.db import DatabaseError, transaction
from django.test import Client

from inchwater.app.firms.models import Firm
from inchwater.app.firms.services import make_local_firm
from inchwater.app.offers import services as offers
from inchwater.app.visits import services
from inchwater.app.visits.entries import add_entry
from inchwater.app.visits.jobs import entries_of
from inchwater.app.visits.models import Visit, WorkEntry
from inchwater.app.work import services as work
from inchwater.errors import FormatError, NotPossibleError, UnknownNameError
from inchwater.quantity import said
from inchwater.survey import Change

CHANGES = (
    Change("c1", "filter", ("f1",), {"grade": "pleat-1in-merv8"}),
    Change("c2", "clean-wheel", ("unit",)),
)


@pytest.fixture
def demo(db: None) -> Visit:
    """The basement furnace with two changes planned; its filter was read both ways."""
    firm, user = make_local_firm()
    visit = next(v for v in services.load_demos(firm, user) if v.demo == "b")
    assert services.add_changes(firm, user, visit.pk, CHANGES) == ("c1", "c2")
    return services.find_visit(firm, visit.pk)


def sent(number: int, kind: str, **more: object) -> dict[str, object]:
    """A record as the page makes it, with what it needs for itself (``box``) beside it."""
    at = f"2026-11-26T15:0{number}:00.000Z"
    return {"id": f"record-{number:04d}", "kind": kind, "at": at, "box": "step-1", **more}


def receive(visit: Visit, *records: object) -> work.Received:
    """Send records for a visit."""
    firm, user = make_local_firm()
    return work.receive(firm, user, visit.pk, list(records))


def test_what_is_sent_twice_is_kept_once(demo: Visit) -> None:
    """The phone sends again when it had no answer; the job has each record once, in order."""
    records = (
        sent(1, "done", changes=["c1"], step=1),
        sent(2, "taken-back", changes=["c1"], step=1),
        sent(3, "done", changes=["c2"], step=2),
    )
    for _ in range(2):
        assert receive(demo, *records) == work.Received(
            ("record-0001", "record-0002", "record-0003"), ()
        )
    job = services.job(make_local_firm()[0], demo.pk)
    assert [(one.kind, one.changes) for one in job.work] == [
        ("done", ("c1",)),
        ("taken-back", ("c1",)),
        ("done", ("c2",)),
    ]


@pytest.mark.parametrize(
    ("record", "said"),
    [
        (sent(2, "done", changes=["c1"]), "This record: c1 done again came;"),
        (sent(2, "taken-back", changes=["c2"]), "This record: c2 taken back came;"),
        (sent(2, "done", changes=["c9"]), "This record: 'c9' came; the changes of this job are"),
        (sent(2, "sung"), "the record: 'sung' came;"),
        (sent(2, "gate", gate="co", when="before"), "This record: nothing came;"),
        (sent(2, "heard"), "This record: nothing came; a record of kind heard has changes, loud"),
        (sent(2, "heard", loud="register:r1"), ""),
        (sent(2, "heard", loud=["register:r99"]), "'register:r99' came; what can be too loud is"),
        (
            sent(2, "gate", gate="co", when="before", result="measured", typed="x", unit="ppm"),
            "the result: 'x' came;",
        ),
        (sent(2, "reading", place="supply", quantity="static", typed="x", unit="inwc"), "'x'"),
        (sent(2, "reading", place="nowhere", quantity="static", typed="1", unit="inwc"), ""),
    ],
)
def test_what_cannot_be_right_is_kept_with_its_reason(
    demo: Visit, record: dict[str, object], said: str
) -> None:
    """It is no part of the job, the ones beside it are, and nothing of it is lost."""
    found = receive(demo, sent(1, "done", changes=["c1"]), record, sent(3, "done", changes=["c2"]))
    assert found.kept == ("record-0001", "record-0003")
    ((id_, why),) = found.refused
    assert (id_, said in why) == ("record-0002", True)
    firm, _ = make_local_firm()
    (row,) = work.refused(firm, demo.pk)
    assert (row.key, row.problem) == (id_, why)
    for key, value in record.items():
        if key != "id":
            assert row.document[key] == value
    assert [one.changes for one in services.job(firm, demo.pk).work] == [("c1",), ("c2",)]
    # Sent again it is the same answer and no second row.
    assert receive(demo, record).refused == ((id_, why),)
    assert len(entries_of(demo)) == 3


def test_a_reading_after_a_step_has_a_trial_of_its_own(demo: Visit) -> None:
    """With the changes in force; as it was typed, signed by its place, and read again as wished."""
    more = {"place": "return", "quantity": "static", "unit": "inwc", "changes": ["c1"], "step": 1}
    found = receive(
        demo,
        sent(1, "done", changes=["c1"], step=1),
        sent(2, "reading", typed="0,31", **more),
        sent(3, "reading", typed="75 Pa", **more),
    )
    assert found.refused == ()
    firm, _ = make_local_firm()
    job = services.job(firm, demo.pk)
    trial = job.trials[-1]
    assert (trial.after, len(job.trials)) == (("c1",), 3)
    assert [(r.at, r.typed, r.value) for r in trial.readings] == [
        ("return", "0,31", pytest.approx(-0.31 * 249.08891, rel=1e-3)),
        ("return", "75 Pa", -75.0),
    ]
    assert trial.readings[1].corrects == trial.readings[0].id
    # The facts page still means the second trial as found.
    assert services.visit_values(firm, demo.pk).get("trial2_return_static") != "75 Pa"


def test_a_reading_that_nothing_explains_is_named_on_the_page(demo: Visit, client: Client) -> None:
    """A static far beyond what the step can have left: nobody is told that one may stop."""
    _, user = make_local_firm()
    add_entry(demo, user, "accepted-1", {"kind": "accepted", "changes": ["c1", "c2"]})
    more = {"place": "return", "quantity": "static", "unit": "inwc", "changes": ["c1"], "step": 1}
    found = receive(
        demo,
        sent(1, "done", changes=["c1"], step=1),
        sent(2, "reading", typed="0.35", **more),
        sent(3, "reading", typed="0.15", **{**more, "place": "supply"}),
    )
    assert found.refused == ()
    page = f"/visits/{demo.pk}/work/"
    assert "A reading does not fit" not in client.get(page).content.decode()
    assert receive(demo, sent(4, "reading", typed="0.95", **more)).refused == ()
    shown = client.get(page).content.decode()
    assert "A reading does not fit" in shown
    assert "Static on the return side: 0.95 in. w.c. was read after the work" in shown
    assert "you may stop" not in shown


def test_a_step_that_is_not_read_yet_is_read_before_one_may_stop(
    demo: Visit, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is met by forecast alone stands in place of the odds."""
    _, user = make_local_firm()
    add_entry(demo, user, "accepted-1", {"kind": "accepted", "changes": ["c1", "c2"]})
    assert receive(demo, sent(1, "done", changes=["c1"], step=1)).refused == ()
    planned = import_module("inchwater.planning.work_now")
    monkeypatch.setattr(planned, "_stop", lambda *_: said("The target is met: you may stop."))
    shown = client.get(f"/visits/{demo.pk}/work/").content.decode()
    assert "Read the system as it stands before you stop." in shown
    assert "of 100 cases" not in shown
    assert "you may stop" not in shown


def test_what_is_too_loud_is_of_what_is_in_force_when_it_comes(demo: Visit, client: Client) -> None:
    """The program knows which steps came before; the page says it, and offers weigh it."""
    firm, _ = make_local_firm()
    run = services.job(firm, demo.pk).survey.supply.runs[0]
    early = receive(demo, sent(1, "heard", loud=[]))
    assert "this is asked after a step" in early.refused[0][1]
    records = (
        sent(2, "done", changes=["c1"], step=1),
        sent(3, "heard", loud=[]),
        sent(4, "done", changes=["c2"], step=2),
        sent(5, "heard", loud=[f"register:{run.id}"]),
    )
    assert receive(demo, *records).refused == ()
    told = [one for one in services.job(firm, demo.pk).work if one.kind == "heard"]
    assert [(one.changes, one.loud) for one in told] == [
        (("c1",), ()),
        (("c1", "c2"), (f"register:{run.id}",)),
    ]
    page = client.get(f"/visits/{demo.pk}/work/").content.decode()
    assert "Who lives here finds it too loud now: register" in page
    assert "you may stop" not in page
    assert f'value="register:{run.id}" checked' in page
    before = offers.search(firm, demo.pk)
    assert offers.search(firm, demo.pk) is before
    receive(demo, sent(6, "heard", loud=[]))
    assert offers.search(firm, demo.pk) is not before
    assert "too loud now: register" not in client.get(f"/visits/{demo.pk}/work/").content.decode()


def test_a_call_again_is_of_the_steps_in_force(demo: Visit, client: Client) -> None:
    """The program knows which steps came before; the page says it, and offers weigh it."""
    firm, _ = make_local_firm()
    receive(demo, sent(1, "done", changes=["c1"], step=1))
    address = f"/visits/{demo.pk}/work/"
    assert "data-called-said hidden" in client.get(address).content.decode()
    before = offers.search(firm, demo.pk)
    assert receive(demo, sent(2, "called-again")).refused == ()
    record = services.job(firm, demo.pk).work[-1]
    assert (record.kind, record.changes) == ("called-again", ("c1",))
    page = client.get(address).content.decode()
    assert "They called again: as it stands it does not do what is wanted" in page
    assert "you may stop" not in page
    assert "data-called-said hidden" not in page
    assert offers.search(firm, demo.pk) is not before


def test_a_state_for_measuring_keeps_the_visit_open(demo: Visit) -> None:
    """The demo's filter was out for its second trial: the visit closes when that is ticked."""
    firm, user = make_local_firm()
    with pytest.raises(NotPossibleError) as caught:
        services.close_visit(firm, demo.pk)
    assert str(caught.value) == (
        "the visit: Not put back after tr2: filter f1 out came; it closes when all that was set "
        "for measuring is put back, and all is settled that keeps people safe. Settle it, and "
        "tick it on the page of the work."
    )
    found = receive(demo, sent(1, "undone", state="filter:f1", trial="tr2"))
    assert found.refused == ()
    services.close_visit(firm, demo.pk)
    late = work.receive(firm, user, demo.pk, [sent(2, "done", changes=["c1"])])
    assert "a visit that is closed came" in late.refused[0][1]


def test_the_database_refuses_to_change_a_record(demo: Visit) -> None:
    """Written once, whoever writes."""
    receive(demo, sent(1, "done", changes=["c1"]))
    row = WorkEntry.objects.of(make_local_firm()[0]).get(visit=demo)
    with pytest.raises(DatabaseError) as caught, transaction.atomic():
        row.save()
    assert str(caught.value).splitlines()[0] == (
        "a record of work is never changed; add another one"
    )


def test_a_job_with_work_goes_out_and_comes_back(demo: Visit) -> None:
    """Imported, it has the same records."""
    receive(demo, sent(1, "done", changes=["c1"], step=1))
    firm, user = make_local_firm()
    job = services.export_job(firm, demo.pk)
    again = services.import_job(firm, user, job)
    assert services.job(firm, again.pk).work == job.work


@pytest.mark.parametrize("wrong", [None, {}, [1], [{"kind": "done"}], [{"id": "a b"}], [{}] * 501])
def test_what_is_no_list_of_records_is_refused_whole(demo: Visit, wrong: object) -> None:
    """Nothing is kept of it."""
    with pytest.raises(FormatError):
        work.receive(*make_local_firm(), demo.pk, wrong)
    assert entries_of(demo) == []


def test_another_firm_s_phone_finds_no_visit(demo: Visit, other_firm: Firm) -> None:
    """A record goes to a visit of the sender's firm."""
    with pytest.raises(UnknownNameError):
        work.receive(other_firm, None, demo.pk, [sent(1, "done", changes=["c1"])])
