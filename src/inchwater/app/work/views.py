"""The work page: read what came, call one service, render; records come as JSON from the phone."""

from __future__ import annotations

import json
from functools import cache
from importlib import resources
from typing import Any
from uuid import UUID

from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_POST, require_safe

from inchwater import __version__
from inchwater.app.firms.middleware import FirmRequest
from inchwater.app.offers import services as offers
from inchwater.app.visits import pages as visit_pages
from inchwater.app.visits import services as visits
from inchwater.app.work import pages, services
from inchwater.errors import FormatError, InchwaterError
from inchwater.planning import WorkNow, done_steps
from inchwater.planning.called_again import last_called
from inchwater.planning.loudness import last_heard
from inchwater.survey import Job, work_of


@require_safe
def work(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """The accepted option step by step, all in one page that goes on without signal."""
    visit = visits.find_visit(request.firm, visit_id)
    if visits.missing(request.firm, visit_id):
        return redirect("reading", visit_id)
    job = visits.job(request.firm, visit_id)
    context: dict[str, Any] = {
        "visit": visit,
        "visit_name": visit_pages.name_of(visit),
        **visit_pages.way("work", visit_id),
        "accepted": offers.accepted(request.firm, visit_id),
        "refused": services.refused(request.firm, visit_id),
        "to_undo": pages.to_undo(job),
        "version": __version__,
        "title": "The work",
    }
    if work_of(job).accepted or done_steps(job) or context["to_undo"]:
        context |= _plan(request, visit_id, job)
    return render(request, "work/work.html", context)


def _plan(request: FirmRequest, visit_id: UUID, job: Job) -> dict[str, Any]:
    """Where the work stands, in words; why it cannot be told, where it cannot."""
    units = request.units
    try:
        now = services.now(request.firm, visit_id)
        last = services.last_done(request.firm, visit_id)
    except InchwaterError as error:
        return {"problem": error, "title": "The work cannot be planned"}
    steps = pages.steps_shown(now, last, job, units)
    next_step = next((one for one in steps if one.next), None)
    title = "The work"
    if next_step is not None:
        title = f"Step {next_step.number} of {steps[-1].number}: {next_step.label}"
    elif steps:
        title = "Every step is done"
    return {
        "title": title,
        "steps": steps,
        "leaving": pages.leaving_shown(now, units),
        "openings": pages.openings_shown(job),
        "heard": last_heard(job),
        "called": last_called(job),
        **(_met(now) if steps else {}),
        "stopped": now.work.stopped,
        "open": now.open,
        "may_close": now.may_close,
        "all_parts": now.plan.parts,
        "all_tools": now.plan.tools,
        "all_minutes": pages.minutes_text(now.plan.minutes) if now.plan.steps else "",
    }


def _met(now: WorkNow) -> dict[str, Any]:
    """Whether all is met by now, or how likely; what nobody can tell or explain."""
    return {
        "may_stop": now.stop,
        "not_proven": now.not_proven,
        "not_told": now.not_told,
        "unexplained": now.unexplained,
        "too_loud": now.too_loud,
        "called_again": now.called_again,
        "against": now.against,
        "odds": pages.odds_line(now),
    }


@require_POST
def records(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """Keep what a phone sends; the answer says which records it may forget, and why not others."""
    try:
        sent = json.loads(request.body)
    except ValueError:
        raise FormatError(
            where="records", came="no JSON", right="the page of the work sends its records as JSON"
        ) from None
    found = services.receive(
        request.firm,
        request.user,
        visit_id,
        sent.get("records") if isinstance(sent, dict) else None,
    )
    refused = [{"id": id_, "text": text} for id_, text in found.refused]
    return JsonResponse({"kept": list(found.kept), "refused": refused})


@require_safe
@cache_control(no_cache=True)
def worker(request: FirmRequest) -> HttpResponse:
    """The script that answers for the work page without signal; its address gives its reach."""
    return HttpResponse(_worker(), content_type="text/javascript")


@cache
def _worker() -> bytes:
    folder = resources.files("inchwater.app").joinpath("static", "inchwater")
    return folder.joinpath("work-worker.js").read_bytes()
