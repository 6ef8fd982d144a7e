"""What is worth reading next: a page of its own, and a fragment that other pages load after."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from inchwater import reports
from inchwater.app.core.errors import status_of
from inchwater.app.firms.middleware import FirmRequest
from inchwater.app.visits import pages, services
from inchwater.errors import InchwaterError
from inchwater.planning import money, usual_prices


@require_safe
def next_reading(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """The readings by what they are worth; an htmx request gets them without the page."""
    visit = services.find_visit(request.firm, visit_id)
    alone = request.headers.get("HX-Request") == "true"
    if services.missing(request.firm, visit_id):
        return HttpResponse("") if alone else redirect("reading", visit_id)
    context: dict[str, Any] = {
        "visit": visit,
        "visit_name": pages.name_of(visit),
        **pages.way("next_reading", visit_id),
    }
    try:
        ranked = services.next_reading(request.firm, visit_id)
        answer = services.answer(request.firm, visit_id)
    except InchwaterError as error:
        template = "error_fragment.html" if alone else "visits/no_answer.html"
        status = 200 if alone else status_of(error)
        return render(request, template, {**context, "error": error}, status=status)
    enough = next(one for one in ranked if one.kind == "enough")
    context |= {
        "answer": answer,
        "first": ranked[0],
        # What pays beside the first, and what stopping would leave.
        "also": [one for one in ranked[1:] if one.pays],
        "table": reports.next_readings_table(ranked),
        "choices": f"{usual_prices().most}",
        "regret": money(enough.regret),
    }
    template = "visits/next_readings.html" if alone else "visits/next_reading.html"
    response = render(request, template, context)
    response["Vary"] = "HX-Request"
    return response
