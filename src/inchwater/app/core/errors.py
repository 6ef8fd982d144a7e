"""An error as a browser or a program sees it: the same four fields, never a trace.

A page gets ``error.html``, an htmx request ``error_fragment.html`` (owned by the pages; where one
is missing, plain words), anything that asks for JSON the one JSON form of an error.
"""

from __future__ import annotations

import logging
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template import TemplateDoesNotExist
from django.template.loader import render_to_string
from django.utils.html import format_html

from inchwater import errors

log = logging.getLogger("inchwater.app")

# The most particular kind first; anything else that Inchwater raises on purpose is a 422.
_STATUS: list[tuple[type[errors.InchwaterError], int]] = [
    (errors.UnknownNameError, 404),
    (errors.FormatError, 400),
    (errors.InchwaterError, 422),
]


def status_of(error: errors.InchwaterError) -> int:
    """The HTTP status of an error that Inchwater raised on purpose."""
    return next(status for kind, status in _STATUS if isinstance(error, kind))


def respond_to(request: HttpRequest, error: errors.InchwaterError, status: int) -> HttpResponse:
    """The answer to a request that failed with this error."""
    if _wants_json(request):
        return JsonResponse(error.to_dict(), status=status)
    fragment = request.headers.get("HX-Request") == "true"
    template = "error_fragment.html" if fragment else "error.html"
    fields: dict[str, Any] = {"error": error, "status": status}
    try:
        body = render_to_string(template, fields, request=request)
    except TemplateDoesNotExist:
        body = format_html("<section role='alert'><p>{}</p></section>", str(error))
    response = HttpResponse(body, status=status)
    response["Vary"] = "Accept, HX-Request"
    return response


def refuse(
    request: HttpRequest, status: int, *, where: str, came: str, right: str, do: str = ""
) -> HttpResponse:
    """The answer to a request that is not let through, in the same form."""
    error = errors.InchwaterError(where=where, came=came, right=right, do=do)
    return respond_to(request, error, status)


def failed(request: HttpRequest, error: BaseException) -> HttpResponse:
    """The answer to a request that met a fault of ours: logged with its trace, told without."""
    log.error("%s %s failed", request.method, request.path, exc_info=error)
    return _fault(request)


def too_large(request: HttpRequest, size: int) -> HttpResponse:
    """The answer to an upload that is larger than any table or job."""
    return refuse(
        request,
        413,
        where="the upload",
        came=f"{size / 2**20:.0f} MB",
        right=f"a blower table or a job has at most {settings.UPLOAD_LIMIT / 2**20:.0f} MB",
        do="Choose the file again; what you typed is kept.",
    )


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Django's handler404."""
    return refuse(
        request,
        404,
        where=request.path,
        came="an address that leads nowhere",
        right="pages are reached from the start page",
        do="Go to the start page and choose from there.",
    )


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Django's handler403."""
    return refuse(
        request,
        403,
        where=request.path,
        came="a person who may not open it",
        right="it is open to people of the firm it belongs to",
        do="Sign in as one of them.",
    )


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Django's handler400."""
    return refuse(
        request,
        400,
        where=request.path,
        came="a request that cannot be read",
        right="it comes from a page of this program at the address that it printed",
        do="Open the start page and try once more.",
    )


def server_error(request: HttpRequest) -> HttpResponse:
    """Django's handler500, for what failed outside a view; Django has logged it."""
    return _fault(request)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Django's page for a form without its token, in our words."""
    return refuse(
        request,
        403,
        where="the form",
        came="no token of this page",
        right="a form is sent from the page on which it was filled in",
        do="Open the page again and send it once more; what you typed is kept.",
    )


def _fault(request: HttpRequest) -> HttpResponse:
    error = errors.InchwaterError(
        where=request.path,
        came="a fault of this program",
        right="the page should have opened; what you typed is kept",
        do="Go back and open it again. If it comes back, the log has the time and the reason.",
    )
    try:
        return respond_to(request, error, 500)
    except Exception:
        # The page of the fault failed as well (no database, say): its words are enough.
        log.exception("the page of a fault failed")
        return HttpResponse(str(error), status=500, content_type="text/plain; charset=utf-8")


def _wants_json(request: HttpRequest) -> bool:
    accept = request.headers.get("Accept", "")
    return "application/json" in accept and "text/html" not in accept
