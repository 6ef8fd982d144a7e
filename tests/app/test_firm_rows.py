"""Rows of a firm are never reached without one, and never by another."""

from __future__ import annotations

import uuid

import pytest
from django.apps import apps
from django.shortcuts import get_object_or_404

from inchwater.app.core.models import Row
from inchwater.app.core.rows import FirmMissing, OtherFirm
from inchwater.app.firms.models import Firm, User
from inchwater.app.systems.models import Customer, Site
from inchwater.app.visits import services
from inchwater.app.visits.models import Visit
from inchwater.errors import UnknownNameError

OURS = [model for model in apps.get_models() if model.__module__.startswith("inchwater.")]
ROWS = [model for model in OURS if model not in (Firm, User)]
ASKED = {
    "all": lambda objects: objects.all(),
    "filter": lambda objects: objects.filter(pk=uuid.uuid4()),
    "get": lambda objects: objects.get(pk=uuid.uuid4()),
    "exclude": lambda objects: objects.exclude(pk=uuid.uuid4()),
    "count": lambda objects: objects.count(),
    "exists": lambda objects: objects.exists(),
    "first": lambda objects: objects.first(),
    "iterator": lambda objects: list(objects.iterator()),
    "aggregate": lambda objects: objects.aggregate(),
    "values": lambda objects: objects.values(),
    "create": lambda objects: objects.create(),
    "bulk_create": lambda objects: objects.bulk_create([]),
    "get_or_create": lambda objects: objects.get_or_create(),
    "update": lambda objects: objects.update(),
    "in_bulk": lambda objects: objects.in_bulk(),
    "raw": lambda objects: objects.raw("select 1"),
    "union": lambda objects: objects.union(),
    "of nothing": lambda objects: objects.of(None),
    "of a word": lambda objects: objects.of("one"),
}


def test_every_table_but_firm_and_person_belongs_to_a_firm():
    """No model can be added that has no firm, except the two that firms are made of."""
    assert len(ROWS) >= 11
    assert [model.__name__ for model in ROWS if not issubclass(model, Row)] == []


@pytest.mark.parametrize("model", ROWS, ids=lambda model: model.__name__)
@pytest.mark.parametrize("asked", ASKED, ids=str)
def test_no_query_runs_without_a_firm(model, asked):
    """Whatever is asked of ``objects`` without a firm is refused before any query is made."""
    with pytest.raises(FirmMissing) as caught:
        ASKED[asked](model.objects)
    assert str(caught.value).startswith(f"{model.__name__}.objects.")
    assert f"rows of a firm are asked for by {model.__name__}.objects.of(firm)." in str(
        caught.value
    )


@pytest.mark.parametrize("model", ROWS, ids=lambda model: model.__name__)
def test_the_shortcut_for_pages_is_refused_too(model):
    """``get_object_or_404(Model)`` goes through the default manager, which is the refusing one."""
    with pytest.raises(FirmMissing):
        get_object_or_404(model, pk=uuid.uuid4())


@pytest.mark.parametrize("model", ROWS, ids=lambda model: model.__name__)
def test_no_relation_can_be_followed_backwards(model):
    """A reverse manager would be a way round the firm, so there is none."""
    backwards = [
        field.get_accessor_name()
        for field in model._meta.get_fields(include_hidden=True)
        if field.auto_created and not field.concrete and field.get_accessor_name()
    ]
    assert [name for name in backwards if not name.endswith("+")] == []


def test_two_firms_never_see_each_other(firm, other_firm):
    """A visit of one firm is to the other as if it were not there, for every service."""
    visit = services.start_visit(firm, None)
    services.save_field(firm, visit.pk, "capacity", "3")
    assert services.open_visits(other_firm) == []
    calls = [
        lambda: services.find_visit(other_firm, visit.pk),
        lambda: services.save_field(other_firm, visit.pk, "capacity", "4"),
        lambda: services.visit_values(other_firm, visit.pk),
        lambda: services.draft_states(other_firm, visit.pk),
        lambda: services.missing(other_firm, visit.pk),
        lambda: services.revisions(other_firm, visit.pk),
        lambda: services.rename(other_firm, visit.pk, "mine"),
        lambda: services.close_visit(other_firm, visit.pk),
        lambda: services.job(other_firm, visit.pk),
        lambda: services.export_job(other_firm, visit.pk),
        lambda: services.answer(other_firm, visit.pk),
        lambda: services.what_if(other_firm, visit.pk, ()),
        lambda: services.start_visit(other_firm, None, visit.pk),
    ]
    for call in calls:
        with pytest.raises(UnknownNameError) as caught:
            call()
        assert str(caught.value) == (
            f"visit: {visit.pk} came; the visits of this firm are on the start page. "
            "Choose one there."
        )
    assert services.visit_values(firm, visit.pk) == {"capacity": "3"}


def test_a_row_cannot_point_at_a_row_of_another_firm(firm, other_firm):
    """Both ends of a relation belong to one firm, or nothing is saved."""
    customer = Customer.objects.of(firm).create()
    with pytest.raises(OtherFirm) as caught:
        Site.objects.of(other_firm).create(customer=customer)
    assert str(caught.value) == (
        "Site.customer: a row of another firm came; both ends belong to one firm."
    )
    with pytest.raises(OtherFirm) as caught:
        Customer.objects.of(firm).create(firm=other_firm)
    assert str(caught.value) == (
        "Customer.firm: a row of another firm came; both ends belong to one firm."
    )
    with pytest.raises(OtherFirm):
        Customer.objects.of(firm).bulk_create([Customer(firm=other_firm)])
    assert Site.objects.of(other_firm).count() == 0


def test_a_firm_is_purged_whole_and_alone(firm, other_firm):
    """Deleting a firm deletes all its rows, corrected readings included, and none of another's."""
    for one in (firm, other_firm):
        visit = services.start_visit(one, None)
        services.save_field(one, visit.pk, "return_static", "0.29")
        services.save_field(one, visit.pk, "return_static", "0.31")
        services.save_field(one, visit.pk, "capacity", "3")
    services.load_demos(firm)
    key = firm.pk
    firm.delete()
    left = {model.__name__: model.unscoped.filter(firm_id=key).count() for model in ROWS}
    assert set(left.values()) == {0}
    assert Visit.objects.of(other_firm).count() == 1
    assert services.visit_values(other_firm, services.open_visits(other_firm)[0].pk) == {
        "capacity": "3",
        "return_static": "0.31",
    }
