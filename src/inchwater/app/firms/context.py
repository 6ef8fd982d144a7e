"""What every template may print about the firm and the person."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest


def firm(request: HttpRequest) -> dict[str, Any]:
    """``firm``, ``units`` (ip or si) and ``local_mode``: no sign-in, and the pages say so."""
    return {
        "firm": getattr(request, "firm", None),
        "units": getattr(request, "units", "ip"),
        "local_mode": getattr(request, "local_mode", False),
    }
