"""The root of all addresses: each app has its own list, and every error has our words."""

from __future__ import annotations

from importlib.util import find_spec

from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = []
if find_spec("inchwater.app.visits.urls"):
    urlpatterns.append(path("", include("inchwater.app.visits.urls")))

handler400 = "inchwater.app.core.errors.bad_request"
handler403 = "inchwater.app.core.errors.forbidden"
handler404 = "inchwater.app.core.errors.not_found"
handler500 = "inchwater.app.core.errors.server_error"
