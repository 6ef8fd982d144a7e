"""The firm's own affairs: the local firm of one person's machine, and a person's units."""

from __future__ import annotations

from typing import cast

from django.db import transaction

from inchwater.app.firms.models import Firm, Membership, User
from inchwater.errors import UnknownNameError
from inchwater.units import System


def local_firm() -> Firm | None:
    """The firm of single-user mode; None before ``serve`` made it."""
    return Firm.objects.filter(local=True).first()


def make_local_firm() -> tuple[Firm, User]:
    """The firm and the person of single-user mode, made once.

    The person cannot sign in (no usable password): only the loopback address lets them in.
    """
    with transaction.atomic():
        firm, _ = Firm.objects.get_or_create(local=True, defaults={"name": "This machine"})
        user, new = User.objects.get_or_create(username="local")
        if new:
            user.set_unusable_password()
            user.save(update_fields=["password"])
        Membership.objects.of(firm).get_or_create(
            user=user, defaults={"role": Membership.Role.OWNER}
        )
    return firm, user


def membership(firm: Firm, user: User) -> Membership | None:
    """The person's place in the firm; None if they have none."""
    return cast("Membership | None", Membership.objects.of(firm).filter(user=user).first())


def memberships_of(user: User) -> list[Membership]:
    """Every firm that a person works in, the oldest first."""
    # Which firm it is, is the question here, so no firm can be named yet.
    return list(Membership.unscoped.filter(user=user).select_related("firm").order_by("created"))


def units(firm: Firm, user: User) -> System:
    """The unit system of the person's pages."""
    found = membership(firm, user)
    return cast(System, found.units) if found else "ip"


def set_units(firm: Firm, user: User, system: str) -> None:
    """Let the person's pages be in ``ip`` or ``si`` from now on."""
    if system not in Membership.Units.values:
        raise UnknownNameError(
            where="units", came=repr(system), right="unit systems are ip (inch-pound) and si"
        )
    Membership.objects.of(firm).filter(user=user).update(units=system)
