"""The font of the pages, served from the package that ships it."""

from __future__ import annotations

from functools import cache
from importlib import resources
from importlib.util import find_spec

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe

_YEAR = 365 * 24 * 3600


@cache
def _inter() -> bytes | None:
    """The upright variable font; None when its package is not installed."""
    if find_spec("fontpkg_inter") is None:
        return None
    folder = resources.files("fontpkg_inter").joinpath("files")
    found = [f for f in folder.iterdir() if f.name.endswith(".ttf") and "Italic" not in f.name]
    return found[0].read_bytes() if found else None


@require_safe
@cache_control(max_age=_YEAR, immutable=True)
def inter(request: HttpRequest) -> HttpResponse:
    """Inter as a file; 404 without its package, and the page falls back to the system's font."""
    font = _inter()
    if font is None:
        raise Http404
    return HttpResponse(font, content_type="font/ttf")
