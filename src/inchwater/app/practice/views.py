"""The pages of practice rounds: read what came, call one service, render.  No physics here."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from inchwater.app.core import files
from inchwater.app.core.errors import status_of
from inchwater.app.firms.middleware import FirmRequest
from inchwater.app.practice import pages, services
from inchwater.errors import InchwaterError, InputError
from inchwater.rehearsal.practice import Round
from inchwater.rehearsal.practice_file import seed_of
from inchwater.reports.practice import INVENTED
from inchwater.survey import job_to_dict


@require_safe
def practice(request: FirmRequest) -> HttpResponse:
    """Start a round, go on with one, or open one from a file."""
    return _start_page(request)


@require_POST
def new(request: FirmRequest) -> HttpResponse:
    """Start a round on the house of a number, or on any house."""
    typed = request.POST.get("seed", "")
    try:
        seed = seed_of(typed) if typed.strip() else None
    except InputError as error:
        error.where = "Its number"
        return _start_page(request, error, typed)
    return redirect("practice_house", services.start(request.firm, request.user, seed).pk)


@require_POST
def upload(request: FirmRequest) -> HttpResponse:
    """A round that was saved goes on."""
    file = files.sent(request, "round", "practice round", "a round in JSON is wanted")
    return redirect("practice_house", services.load(request.firm, request.user, file).pk)


@require_safe
def house(request: FirmRequest, round_id: UUID) -> HttpResponse:
    """A round as it stands: what can be done, or its score."""
    return _house(request, round_id)


@require_POST
def act(request: FirmRequest, round_id: UUID) -> HttpResponse:
    """Do one act; a refusal is told on the page, which stands as it stood."""
    typed, known = request.POST.get("act", ""), request.POST.get("known", "")
    try:
        services.play(request.firm, request.user, round_id, typed, known)
    except InchwaterError as error:
        # Not found, for one, is no refusal of an act.
        services.find(request.firm, request.user, round_id)
        return _house(request, round_id, error)
    return redirect(f"{reverse('practice_house', args=[round_id])}#now")


@require_safe
def tool(request: FirmRequest, round_id: UUID) -> HttpResponse:
    """What Inchwater makes of the readings; an htmx request gets it without the page."""
    alone = request.headers.get("HX-Request") == "true"
    row = services.find(request.firm, request.user, round_id)
    context: dict[str, Any] = {"row": row, **_way(row.seed, round_id)}
    status = 200
    try:
        found = services.help_for(request.firm, request.user, round_id)
        context |= {"help": found, "sets": pages.helped(found)}
    except InchwaterError as error:
        context["error"] = error
        status = 200 if alone else status_of(error)
    template = "practice/helped.html" if alone else "practice/tool.html"
    response = render(request, template, context, status=status)
    response["Vary"] = "HX-Request"
    return response


@require_POST
def visit(request: FirmRequest, round_id: UUID) -> HttpResponse:
    """The round's job as a visit of its own, with every page that a visit has."""
    return redirect("visit", services.to_visit(request.firm, request.user, round_id).pk)


@require_safe
def job(request: FirmRequest, round_id: UUID) -> HttpResponse:
    """What was read so far as a job file."""
    now = services.standing(services.find(request.firm, request.user, round_id))
    return files.to_keep(f"inchwater-practice-{now.seed}-job.json", job_to_dict(now.job))


@require_safe
def document(request: FirmRequest, round_id: UUID) -> HttpResponse:
    """The round itself as a file, for the prompt or another day."""
    row = services.find(request.firm, request.user, round_id)
    return files.to_keep(f"inchwater-practice-{row.seed}.json", row.document)


# --- what they share ----------------------------------------------------------------------------


def _start_page(
    request: FirmRequest, error: InputError | None = None, typed: str = ""
) -> HttpResponse:
    rounds = [pages.listed(row) for row in services.recent(request.firm, request.user)]
    context = {
        "rounds": rounds,
        "invented": INVENTED,
        "error": error,
        "typed": typed,
        "place": "Practice",
        "back": (reverse("home"), "Home"),
        "on": None,
    }
    status = 200 if error is None else status_of(error)
    return render(request, "practice/start.html", context, status=status)


def _house(
    request: FirmRequest, round_id: UUID, error: InchwaterError | None = None
) -> HttpResponse:
    row = services.find(request.firm, request.user, round_id)
    now: Round = services.standing(row)
    context: dict[str, Any] = {"row": row, "error": error, **_way(now.seed)}
    if now.ended:
        context |= pages.over(now, request.units)
    else:
        context |= pages.going_on(now, request.units)
    template = "practice/over.html" if now.ended else "practice/house.html"
    status = 200 if error is None else status_of(error)
    return render(request, template, context, status=status)


def _way(seed: int, round_id: UUID | None = None) -> dict[str, Any]:
    """Where one is: the practice page is behind a house, and the house behind what helps."""
    back = (reverse("practice"), "Practice")
    if round_id is not None:
        back = (reverse("practice_house", args=[round_id]), f"House {seed}")
    return {"place": f"House {seed}" if round_id is None else "Help", "back": back, "on": None}
