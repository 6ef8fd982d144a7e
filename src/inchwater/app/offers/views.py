"""The options of a visit: read what came, call one service, render.  No physics here."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from inchwater import reports
from inchwater.app.core.errors import status_of
from inchwater.app.firms.middleware import FirmRequest
from inchwater.app.offers import pages, services
from inchwater.app.visits import pages as visit_pages
from inchwater.app.visits import services as visits
from inchwater.errors import InchwaterError
from inchwater.planning import money, price_book

# How long a request waits for a search before it says how far it is. [s]
_FIRST, _MORE = 0.7, 0.9
REFUSED = 422


@require_safe
def options(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """What could be done: the page at once, its options by htmx as they are found.

    ``?whole=yes`` waits for all of them, where there is no script.
    """
    return _options(request, visit_id)


def _options(
    request: FirmRequest,
    visit_id: UUID,
    problems: dict[str, InchwaterError] | None = None,
    typed: dict[str, str] | None = None,
) -> HttpResponse:
    alone = request.headers.get("HX-Request") == "true"
    visit = visits.find_visit(request.firm, visit_id)
    if visits.missing(request.firm, visit_id):
        return HttpResponse("") if alone else redirect("reading", visit_id)
    context: dict[str, Any] = {
        "visit": visit,
        "visit_name": visit_pages.name_of(visit),
        **visit_pages.way("options", visit_id),
        "accepted": services.accepted(request.firm, visit_id),
    }
    try:
        if not alone:
            answer = visits.answer(request.firm, visit_id)
            context |= {"answer": answer, "limit_known": answer.limit.text}
            context |= _prices(request, problems or {}, typed or {})
        search = services.search(request.firm, visit_id)
        if alone:
            seconds: float | None = _MORE if "more" in request.GET else _FIRST
        else:
            seconds = None if "whole" in request.GET else 0.0
        found = search.waited(seconds)
        if found is None:
            context["progress"] = search.progress
            if search.progress is not None:
                context["so_far"] = pages.first_answer(search.progress)
        else:
            survey = visits.job(request.firm, visit_id).survey
            context |= {
                "found": found,
                "offers": pages.offers_shown(found, survey, request.units),
                "table": reports.frontier_table(found, request.units),
                "left_out": pages.left_out(found, request.units),
                "picture": reports.frontier(found),
            }
    except InchwaterError as error:
        if alone:
            return render(request, "error_fragment.html", {"error": error})
        context["error"] = error
        return render(request, "visits/no_answer.html", context, status=status_of(error))
    template = "offers/options.html"
    if alone:
        template = "offers/whole.html" if found is not None else "offers/under_way.html"
    response = render(request, template, context, status=REFUSED if problems else 200)
    response["Vary"] = "HX-Request"
    return response


def _prices(
    request: FirmRequest, problems: dict[str, InchwaterError], typed: dict[str, str]
) -> dict[str, Any]:
    """The firm's own figures, what is taken where it has none, and what was refused."""
    own = services.own_prices(request.firm)
    shipped = price_book()
    usual = {"rate": shipped.rate, "visit": shipped.visit}
    return {
        "prices": [
            {
                "key": key,
                "label": label,
                "typed": typed.get(key, own[key].typed if key in own else ""),
                "usual": money(usual[key]),
                "problem": problems.get(key),
            }
            for key, label in services.ASKED.items()
        ],
        "refused": bool(problems),
        "rate": money(own["rate"].value) if "rate" in own else "",
        "usual_rate": money(usual["rate"]),
    }


@require_safe
def picture(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """The frontier as a file."""
    found = services.frontier(request.firm, visit_id)
    response = HttpResponse(reports.frontier(found, plain=True), content_type="image/svg+xml")
    response["Cache-Control"] = "private, no-cache"
    return response


@require_POST
def prices(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """Keep the firm's own figures; a refusal is told where it stands, and the others are kept."""
    problems: dict[str, InchwaterError] = {}
    typed: dict[str, str] = {}
    for key in services.ASKED:
        if key not in request.POST:
            continue
        typed[key] = request.POST[key]
        try:
            services.set_price(request.firm, key, typed[key])
        except InchwaterError as error:
            problems[key] = error
    if problems:
        return _options(request, visit_id, problems, typed)
    return redirect("options", visit_id)


@require_POST
def accept(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """Accept one of the options; its steps come next."""
    key = request.POST.get("key", "")
    accepted = services.accept(request.firm, request.user, visit_id, key)
    return redirect("work" if accepted.changes else "options", visit_id)
