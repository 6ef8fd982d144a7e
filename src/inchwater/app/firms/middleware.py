"""Which firm a request is for: the signed-in person's, or the local one on the loopback address."""

from __future__ import annotations

from collections.abc import Callable
from ipaddress import ip_address
from typing import cast

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from inchwater.app.core.errors import refuse
from inchwater.app.firms.models import Firm, User
from inchwater.app.firms.services import local_firm, make_local_firm, memberships_of, units
from inchwater.units import System

Respond = Callable[[HttpRequest], HttpResponse]


class FirmRequest(HttpRequest):
    """A request after :class:`FirmOfRequest`: what views may count on."""

    firm: Firm
    units: System
    local_mode: bool
    user: User


class FirmOfRequest:
    """Put ``firm``, ``units`` and ``local_mode`` on the request, and the local person on ``user``.

    In local mode nobody signs in, so nobody but this machine is let in.
    """

    def __init__(self, respond: Respond) -> None:
        self.respond = respond

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with_firm = cast(FirmRequest, request)
        with_firm.local_mode = settings.LOCAL_MODE
        with_firm.units = "ip"
        if settings.LOCAL_MODE:
            peer = request.META.get("REMOTE_ADDR", "")
            if not _is_loopback(peer):
                return refuse(
                    request,
                    403,
                    where="your address",
                    came=peer or "no address",
                    right="this program serves the person at this machine only, without sign-in",
                    do="Open it in a browser on the machine on which it runs.",
                )
            firm = local_firm()
            user = User.objects.filter(username="local").first()
            if firm is None or user is None:
                firm, user = make_local_firm()
            request.user = user
            with_firm.firm = firm
            with_firm.units = units(firm, user)
        else:
            places = memberships_of(request.user) if request.user.is_authenticated else []
            if not places:
                return refuse(
                    request,
                    403,
                    where="this page",
                    came="nobody who is signed in",
                    right="it is open to the people of a firm",
                    do="Leave INCHWATER_LOCAL out to work alone on this machine.",
                )
            with_firm.firm = places[0].firm
            with_firm.units = cast(System, places[0].units)
        return self.respond(request)


def _is_loopback(peer: str) -> bool:
    try:
        address = ip_address(peer)
    except ValueError:
        return False
    mapped = getattr(address, "ipv4_mapped", None)
    return bool((mapped or address).is_loopback)
