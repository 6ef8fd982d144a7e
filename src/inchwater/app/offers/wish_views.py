"""The page of what is wanted: shown with its sources, wished otherwise, taken back."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from inchwater.app.core.errors import status_of
from inchwater.app.firms.middleware import FirmRequest
from inchwater.app.offers import wish_pages, wishing
from inchwater.app.visits import pages as visit_pages
from inchwater.app.visits import services as visits
from inchwater.criteria import presets
from inchwater.errors import InchwaterError


@require_safe
def wishes(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """Everything that is wanted of the system, by part, with who says so."""
    return _page(request, visit_id)


@require_POST
def wish(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """Keep a wish, or take it back where nothing is typed; a refusal is told at its place."""
    sent = request.POST
    key = sent.get("key", "")
    typed = {side: sent.get(side, "") for side in ("low", "high")}
    try:
        wishing.wish(
            request.firm,
            request.user,
            visit_id,
            key,
            typed,
            call=sent.get("call", ""),
            part=sent.get("part", ""),
            system=request.units,
        )
    except InchwaterError as error:
        chosen = {"call": sent.get("call", ""), "part": sent.get("part", ""), **typed}
        return _page(request, visit_id, {"refused": key, "typed": chosen, "problem": error})
    return redirect("wishes", visit_id)


@require_POST
def preset(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """Take another usual window of airflow."""
    key = request.POST.get("preset", "")
    try:
        wishing.choose_preset(request.firm, request.user, visit_id, key)
    except InchwaterError as error:
        return _page(request, visit_id, {"refused": "preset", "problem": error})
    return redirect("wishes", visit_id)


def _page(
    request: FirmRequest, visit_id: UUID, refused: dict[str, Any] | None = None
) -> HttpResponse:
    visit = visits.find_visit(request.firm, visit_id)
    if visits.missing(request.firm, visit_id):
        return redirect("reading", visit_id)
    units = request.units
    job = visits.job(request.firm, visit_id)
    context: dict[str, Any] = {
        "visit": visit,
        "visit_name": visit_pages.name_of(visit),
        **visit_pages.way("wishes", visit_id),
        "made": wish_pages.made_shown(wishing.wished(request.firm, visit_id), job.survey, units),
        "presets": presets(),
        "preset": job.targets.preset,
    }
    try:
        wanted = wishing.wanted_in(job)
    except InchwaterError as error:
        # Typed facts and older wishes can come to exclude each other: then one is taken back.
        wanted = {}
        context["exclusive"] = error
    context["wishes"] = wish_pages.wishes_shown(job.survey, wanted, units)
    context["others"] = wish_pages.other_targets(wanted, units)
    context |= refused or {}
    status = status_of(refused["problem"]) if refused else 200
    return render(request, "offers/wishes.html", context, status=status)
