"""The root of all addresses: each app has its own list, and every error has our words."""

from __future__ import annotations

from django.urls import include, path

from inchwater.app.core import views

urlpatterns = [
    path("", include("inchwater.app.visits.urls")),
    path("", include("inchwater.app.firms.urls")),
    path("", include("inchwater.app.practice.urls")),
    path("", include("inchwater.app.offers.urls")),
    path("", include("inchwater.app.work.urls")),
    path("font/inter.ttf", views.inter, name="inter"),
]

handler400 = "inchwater.app.core.errors.bad_request"
handler403 = "inchwater.app.core.errors.forbidden"
handler404 = "inchwater.app.core.errors.not_found"
handler500 = "inchwater.app.core.errors.server_error"
