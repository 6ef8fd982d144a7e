"""A visit's pictures, each by its own request, kept by the browser until the answer is another."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from typing import TYPE_CHECKING
from uuid import UUID

from django.http import HttpResponse, HttpResponseNotModified
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inchwater import reports
from inchwater.app.firms.middleware import FirmRequest
from inchwater.app.visits import services
from inchwater.app.visits.asked import asked
from inchwater.errors import UnknownNameError
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.answer import Answer, WhatIf

_CAPTIONS = {
    "interval": "The bar holds 9 in 10; the dashed window is the goal.",
    "path": "Static from room to room, down the air's way. Dots are your readings; the band holds "
    "9 in 10. Tap a row for its numbers.",
    "budget": "Bars are the middle, the thin line holds 9 in 10, the dashed mark is the guidance.",
    "tree": "From the rooms down through the unit and back to them. Each line is as thick as the "
    "air through it; dashed is what leaks or goes back. Along every way the drops add up to what "
    "the blower adds.",
    "curves": "Where the line of the ducts crosses the tap in use, the system runs.",
}


@require_safe
def picture(request: FirmRequest, visit_id: UUID, name: str) -> HttpResponse:
    """One picture as a fragment, or as a file with ``?as=file``; with a change in the query, both.

    Raises
    ------
    UnknownNameError
        If there is no picture of this name.
    """
    if name not in _CAPTIONS:
        raise UnknownNameError(
            where="picture", came=repr(name), right=f"pictures are {', '.join(_CAPTIONS)}"
        )
    answer = services.answer(request.firm, visit_id)
    tag = _tag(request, answer, name)
    if request.headers.get("If-None-Match") == tag:
        return HttpResponseNotModified(headers={"ETag": tag})
    as_file = request.GET.get("as") == "file"
    drawing = _draw(name, answer, _after(request, visit_id), request.units, as_file)
    if as_file:
        response = HttpResponse(drawing, content_type="image/svg+xml")
    else:
        context = {"drawing": drawing, "caption": _CAPTIONS[name]}
        response = render(request, "parts/drawn.html", context)
    response["ETag"] = tag
    # Asked each time, answered with "not modified" as long as the answer is the same.
    response["Cache-Control"] = "private, no-cache"
    return response


def _tag(request: FirmRequest, answer: Answer, name: str) -> str:
    parts = (
        *(answer.job_hash, answer.engine_version, str(answer.seed), name, request.units),
        request.GET.urlencode(),
    )
    return f'"{hashlib.sha256("|".join(parts).encode()).hexdigest()[:32]}"'


def _after(request: FirmRequest, visit_id: UUID) -> WhatIf | None:
    job = services.job(request.firm, visit_id)
    wanted = asked(job.survey, request.GET, request.units)
    if wanted.is_empty:
        return None
    return services.what_if(
        request.firm, visit_id, wanted.changes, condition=wanted.condition or None
    )


def _draw(name: str, answer: Answer, after: WhatIf | None, units: System, plain: bool) -> str:
    draw: Callable[..., str] = getattr(reports, name)
    if after is None or name in ("path", "budget", "tree"):
        return draw(answer, units, plain=plain)
    return draw(answer, units, after=after, plain=plain)
