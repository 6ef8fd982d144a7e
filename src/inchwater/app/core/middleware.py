"""Around every request: errors become answers in words, and pages load only our own files."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import cast

from django.conf import settings
from django.core.exceptions import PermissionDenied, SuspiciousOperation
from django.http import (
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseBase,
    StreamingHttpResponse,
)

from inchwater.app.core.errors import failed, respond_to, status_of, too_large
from inchwater.errors import InchwaterError

Respond = Callable[[HttpRequest], HttpResponseBase]

# Drawings and htmx set style attributes; nothing sets a script.
_POLICY = (
    "default-src 'self'; script-src 'self'; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data: blob:; object-src 'none'; base-uri 'none'; form-action 'self'; "
    "frame-ancestors 'none'"
)


class ContentPolicy:
    """Set the Content-Security-Policy of every answer."""

    def __init__(self, respond: Respond) -> None:
        self.respond = respond

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.respond(request)
        response.setdefault("Content-Security-Policy", _POLICY)
        return response


class WholeFiles:
    """Send a file in one piece: its iterator is synchronous, and ours are small."""

    def __init__(self, respond: Respond) -> None:
        self.respond = respond

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.respond(request)
        if not isinstance(response, StreamingHttpResponse) or response.is_async:
            return response
        whole = HttpResponse(
            b"".join(cast("Iterable[bytes]", response)),
            status=response.status_code,
            headers=dict(response.items()),
        )
        whole._resource_closers += response._resource_closers  # type: ignore[attr-defined]
        return whole


class Errors:
    """An InchwaterError becomes a 4xx in words, a fault of ours a 500, a huge upload a 413."""

    def __init__(self, respond: Respond) -> None:
        self.respond = respond

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        length = request.META.get("CONTENT_LENGTH") or "0"
        if length.isdigit() and int(length) > settings.UPLOAD_LIMIT:
            # Before anything reads it: a blower table or a job is far smaller.
            return too_large(request, int(length))
        return self.respond(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Django calls this with whatever a view raised."""
        if isinstance(error, InchwaterError):
            return respond_to(request, error, status_of(error))
        if isinstance(error, Http404 | PermissionDenied | SuspiciousOperation):
            # Django has its statuses for these; its handlers are ours (urls.py).
            return None
        return failed(request, error)
