"""A firm, a person, a visit, and the shortest way to type into it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from inchwater.app.firms.models import Firm, Membership, User
from inchwater.app.visits import services
from inchwater.app.visits.models import Visit

Type = Callable[..., services.Saved]

THIN = {
    "capacity": "3",
    "unit_kind": "air-handler",
    "return_static": "0.29",
    "supply_static": "0.42",
}


def make_firm(name: str) -> Firm:
    """A firm with one person in it."""
    firm = Firm.objects.create(name=name)
    user = User.objects.create(username=f"{name} technician")
    Membership.objects.of(firm).create(user=user)
    return firm


@pytest.fixture
def firm(db: None) -> Firm:
    """The firm whose records are tested."""
    return make_firm("one")


@pytest.fixture
def other_firm(db: None) -> Firm:
    """A firm that must never see them."""
    return make_firm("other")


@pytest.fixture
def visit(firm: Firm) -> Visit:
    """An empty visit."""
    return services.start_visit(firm, None)


@pytest.fixture
def type_in(firm: Firm, visit: Visit) -> Type:
    """Type into a field of the visit and leave it."""

    def typed(name: str, text: str, **how: object) -> services.Saved:
        return services.save_field(firm, visit.pk, name, text, **how)  # type: ignore[arg-type]

    return typed


@pytest.fixture
def thin(type_in: Type) -> Type:
    """The visit with its first three numbers and the kind of unit."""
    for name, text in THIN.items():
        assert type_in(name, text).ok, name
    return type_in
