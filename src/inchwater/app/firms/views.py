"""Settings of the person: the units of their pages."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods

from inchwater.app.firms import services
from inchwater.app.firms.middleware import FirmRequest


@require_http_methods(["GET", "HEAD", "POST"])
def settings(request: FirmRequest) -> HttpResponse:
    """Show the settings; a POST sets the units and goes back to where the person came from."""
    if request.method == "POST":
        services.set_units(request.firm, request.user, request.POST.get("units", ""))
        return redirect(_back(request, request.POST.get("next", "")))
    back = _back(request, request.headers.get("Referer", ""))
    return render(
        request,
        "settings.html",
        {"place": "Settings", "next": back, "back": (back, "Back"), "on": None},
    )


def _back(request: FirmRequest, address: str) -> str:
    """The address if it is one of ours and not this page; else the start page."""
    if (
        address
        and url_has_allowed_host_and_scheme(address, {request.get_host()})
        and not address.rstrip("/").endswith(reverse("settings").rstrip("/"))
    ):
        return address
    return reverse("home")
