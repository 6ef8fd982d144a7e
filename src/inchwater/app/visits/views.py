"""The pages of a visit: read what came, call one service, render.  No physics here."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inchwater import reports
from inchwater.app.core import files
from inchwater.app.core.errors import status_of
from inchwater.app.firms.middleware import FirmRequest
from inchwater.app.visits import pages, services
from inchwater.app.visits.asked import Asked, asked, translated
from inchwater.app.visits.controls import TYPED_IN, controls
from inchwater.app.visits.models import Visit
from inchwater.app.visits.shown import shown_fields
from inchwater.errors import InchwaterError
from inchwater.findings import Caution, cautions_of
from inchwater.reports.ports import KINDS
from inchwater.survey import Survey, job_to_dict

# What was typed is kept, but it is no record yet: a page or fragment with the reason.
REFUSED = 422


@require_safe
def home(request: FirmRequest) -> HttpResponse:
    """The start page: one act, then what is open, the invented houses, and a file."""
    visits = services.open_visits(request.firm)

    def lines(demo: bool) -> list[dict[str, str]]:
        return [
            {
                "name": pages.name_of(visit),
                "about": pages.about(visit),
                "url": reverse("visit", args=[visit.pk]),
            }
            for visit in visits
            if bool(visit.demo) is demo
        ]

    return render(request, "visits/home.html", {"visits": lines(False), "demos": lines(True)})


@require_POST
def new(request: FirmRequest) -> HttpResponse:
    """Start a visit and go to its reading."""
    visit = services.start_visit(request.firm, request.user)
    return redirect("reading", visit.pk)


@require_POST
def upload(request: FirmRequest) -> HttpResponse:
    """A job file becomes a visit."""
    file = files.sent(request, "job", "job file", "a job file in JSON is wanted")
    visit = services.import_job(request.firm, request.user, file)
    return redirect("visit", visit.pk)


@require_POST
def name(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """Name the visit's system."""
    services.rename(request.firm, visit_id, request.POST.get("name", ""))
    return redirect("visit", visit_id)


@require_POST
def close(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """Take the visit off the start page."""
    services.close_visit(request.firm, visit_id)
    return redirect("home")


@require_safe
def visit(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """Where a visit is continued: its findings if there can be any, else its reading."""
    services.find_visit(request.firm, visit_id)
    missing = services.missing(request.firm, visit_id)
    return redirect("reading" if missing else "findings", visit_id)


@require_http_methods(["GET", "HEAD", "POST"])
def say(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """What is wrong and where; optional."""
    names = ("complaint", "complaint_room")
    status = 200
    if request.method == "POST":
        if _save_all(request, visit_id, names):
            return redirect("reading", visit_id)
        status = REFUSED
    more = {"fields": _fields(request, visit_id, names)}
    return _page(request, visit_id, "say", more, status)


@require_http_methods(["GET", "HEAD", "POST"])
def reading(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """Three numbers and two choices; a POST saves all of them and goes on when they are there."""
    if request.method == "POST":
        settled = _save_all(request, visit_id, pages.START)
        if settled and not services.missing(request.firm, visit_id):
            return redirect("findings", visit_id)
    values = services.visit_values(request.firm, visit_id, request.units)
    shown = _fields(request, visit_id, pages.asks(values))
    absent = [
        one.field.label
        for one in shown
        if one.field.name in services.missing(request.firm, visit_id) and not one.unsettled
    ]
    more = {
        "fields": shown,
        "side_asked": any(one.field.name == "supply_at" for one in shown),
        "absent": absent if request.method == "POST" else [],
        "cautions": _cautions(request, visit_id, ("reading",)),
        "answered": not services.missing(request.firm, visit_id),
    }
    return _page(request, visit_id, "reading", more, REFUSED if request.method == "POST" else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def facts(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """Every other fact, each optional; a POST saves all and goes to the findings."""
    survey = _described(request, visit_id)
    if request.method == "POST" and _save_all(request, visit_id, tuple(pages.fact_names(survey))):
        return redirect("visit", visit_id)
    status = REFUSED if request.method == "POST" else 200
    values = services.visit_values(request.firm, visit_id, request.units)
    states = services.draft_states(request.firm, visit_id)
    # What was saved just now may have named more parts.
    survey = _described(request, visit_id)
    more: dict[str, Any] = {"parts": pages.facts_of(values, states, request.units, survey)}
    try:
        answer = services.answer(request.firm, visit_id)
    except InchwaterError:
        # Facts can be typed before there is an answer; then there is no range to compare with.
        more["answer_line"] = ""
    else:
        more["answer_line"] = answer.sentence.text(request.units)
        more["range"] = pages.range_text(answer.airflow)
    return _page(request, visit_id, "facts", more, status)


@require_safe
def findings(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """The answer: the sentence first, then what it rests on."""
    missing = services.missing(request.firm, visit_id)
    if missing:
        return redirect("reading", visit_id)
    try:
        answer = services.answer(request.firm, visit_id)
    except InchwaterError as error:
        return _no_answer(request, visit_id, "findings", error)
    units = request.units
    values = services.visit_values(request.firm, visit_id, units)
    states = services.draft_states(request.firm, visit_id)
    limit = answer.limit.text.text(units)
    more = {
        "answer": answer,
        "limit": "" if limit in [line.text(units) for line in answer.says] else limit,
        "next_fields": pages.next_fields(answer, values, states, units),
        "range": pages.range_text(answer.airflow),
        # What moves the answer most stands before its details; what refines it, after them.
        "act_first": pages.comes_first(answer),
        "worth": pages.worth_rows(answer),
        "flows": reports.flows_table(answer, units),
        "path": reports.path_table(answer, units),
        "budget": reports.budget_table(answer, units),
        "tree": reports.tree_table(answer, units),
        "curves": reports.curves_table(answer, units),
        "runs": reports.runs_table(answer.runs, units),
        "guidance": pages.guidance(answer),
    }
    return _page(request, visit_id, "findings", more)


@require_safe
def what_if(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """A change before it is made; an htmx request gets the forecast alone."""
    units = request.units
    if services.missing(request.firm, visit_id):
        return redirect("reading", visit_id)
    other_units = translated(request.GET, units)
    if other_units is not None:
        return redirect(f"{request.path}?{other_units.urlencode()}")
    job = services.job(request.firm, visit_id)
    wanted = asked(job.survey, request.GET, units)
    query = _without_blanks(request.GET)
    more: dict[str, Any] = {"errors": list(wanted.errors), "measuring": wanted.measuring}
    more["query"] = query
    try:
        more |= _forecast(request, visit_id, wanted)
    except InchwaterError as error:
        more["errors"].append(error)
    if request.headers.get("HX-Request") == "true":
        found = services.find_visit(request.firm, visit_id)
        response = render(request, "visits/forecast.html", {"visit": found, **more})
        # The address holds what was chosen, so that a reload shows it again.
        response["HX-Replace-Url"] = f"{request.path}?{query}" if query else request.path
        response["Vary"] = "HX-Request"
        return response
    more["controls"] = controls(job.survey, request.GET, units)
    return _page(request, visit_id, "what_if", more)


def _forecast(request: FirmRequest, visit_id: UUID, wanted: Asked) -> dict[str, Any]:
    if wanted.is_empty:
        return {}
    answer = services.answer(request.firm, visit_id)
    after = services.what_if(
        request.firm, visit_id, wanted.changes, condition=wanted.condition or None
    )
    return {
        "after": after,
        "compared": pages.compared(answer, after),
        "flows": reports.flows_table(answer, request.units, after),
        "curves": reports.curves_table(answer, request.units, after),
        "runs": reports.runs_table(answer.runs, request.units, after.runs),
    }


def _without_blanks(query: QueryDict) -> str:
    kept = QueryDict(mutable=True)
    for key, chosen in query.lists():
        if any(chosen):
            kept.setlist(key, [one for one in chosen if one])
    return kept.urlencode() if set(kept) - {TYPED_IN} else ""


@require_safe
def test_points(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """Where a hole may go, for the kind of unit at hand or another one."""
    values = services.visit_values(request.firm, visit_id, request.units)
    kind = request.GET.get("kind") or values.get("unit_kind") or "air-handler"
    more = {
        "kind": kind,
        "kinds": KINDS,
        "sketch": reports.sketch(kind),
        "table": reports.ports_table(kind),
        "no_drill": reports.do_not_drill(),
        "cautions": _cautions(request, visit_id, ("test-point",)),
    }
    return _page(request, visit_id, "test_points", more)


@require_safe
def job(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """The visit as a job file."""
    found = services.export_job(request.firm, visit_id)
    return files.to_keep(f"inchwater-{visit_id}.json", job_to_dict(found))


# --- what they share ----------------------------------------------------------------------------


def _page(
    request: FirmRequest, visit_id: UUID, here: str, more: dict[str, Any], status: int = 200
) -> HttpResponse:
    found: Visit = services.find_visit(request.firm, visit_id)
    context = {"visit": found, "visit_name": pages.name_of(found), **pages.way(here, visit_id)}
    return render(request, f"visits/{here}.html", {**context, **more}, status=status)


def _no_answer(
    request: FirmRequest, visit_id: UUID, here: str, error: InchwaterError
) -> HttpResponse:
    found = services.find_visit(request.firm, visit_id)
    context = {"visit": found, "visit_name": pages.name_of(found), **pages.way(here, visit_id)}
    return render(
        request, "visits/no_answer.html", {**context, "error": error}, status=status_of(error)
    )


def _fields(request: FirmRequest, visit_id: UUID, names: tuple[str, ...]) -> list[Any]:
    values = services.visit_values(request.firm, visit_id, request.units)
    states = services.draft_states(request.firm, visit_id)
    return shown_fields(names, values, states, request.units)


def _described(request: FirmRequest, visit_id: UUID) -> Survey | None:
    """The survey as far as it is described; None before there is one."""
    try:
        return services.job(request.firm, visit_id).survey
    except InchwaterError:
        return None


def _cautions(request: FirmRequest, visit_id: UUID, acts: tuple[str, ...]) -> tuple[Caution, ...]:
    """The cautions of acts on the visit's system, as far as it is known yet."""
    try:
        survey = services.job(request.firm, visit_id).survey
    except services.NotYetError:
        survey = pages.NOTHING_KNOWN
    return cautions_of(survey, acts)


def _save_all(request: FirmRequest, visit_id: UUID, names: tuple[str, ...]) -> bool:
    """Save every field that the form sent; whether each of them is a record now."""
    settled = True
    standing = services.visit_values(request.firm, visit_id, request.units)
    drafts = services.draft_states(request.firm, visit_id)
    for name in names:
        typed = typed_in(request, name)
        if typed is None:
            continue
        if typed.strip() == standing.get(name, "").strip() and name not in drafts:
            # As it was: nothing to save.
            continue
        saved = services.save_field(
            request.firm, visit_id, name, typed, units=request.units, user=request.user
        )
        settled = settled and saved.ok
    return settled


def typed_in(request: FirmRequest, name: str) -> str | None:
    """What a form sent for a field: a file, choices with commas, or text; None if nothing."""
    file = request.FILES.get(f"{name}_file")
    if file is not None:
        return services.uploaded_text(file)
    # A browser sends the lines of a text with two characters between them.
    sent = [one.replace("\r\n", "\n") for one in request.POST.getlist(name)]
    return ",".join(one for one in sent if one) if sent else None
