"""One field is left: what was typed is saved, and a small fragment says what became of it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from threading import Lock
from uuid import UUID
from weakref import WeakValueDictionary

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from inchwater.app.firms.middleware import FirmRequest
from inchwater.app.visits import fields, pages, services
from inchwater.app.visits.shown import ShownField, shown_field, with_state
from inchwater.app.visits.views import REFUSED, typed_in
from inchwater.errors import InchwaterError

# Locks of the visits whose fields are being saved; one that nobody holds goes by itself.
_SAVING: WeakValueDictionary[UUID, Lock] = WeakValueDictionary()
_FINDING = Lock()


@contextmanager
def _one_at_a_time(visit_id: UUID) -> Iterator[None]:
    with _FINDING:
        own = _SAVING.setdefault(visit_id, Lock())
    with own:
        yield


@require_POST
def field(request: FirmRequest, visit_id: UUID, name: str) -> HttpResponse:
    """Save a field; ``?use=`` takes the value that was suggested, ``?keep=yes`` the typed one.

    Without htmx the person goes back to the page on which the field stands.
    """
    fields.field(name)
    use, keep = request.GET.get("use"), "keep" in request.GET
    typed = use if use is not None else typed_in(request, name) or ""
    # One field of a visit at a time: what another one saves meanwhile would look like a change of
    # this one, and the page would put it back under the hand that types it.
    with _one_at_a_time(visit_id):
        _partner(request, visit_id, name)
        before = services.visit_values(request.firm, visit_id, request.units)
        saved = _save(request, visit_id, name, typed, keep)
        values = services.visit_values(request.firm, visit_id, request.units)
    if request.headers.get("HX-Request") != "true":
        return redirect(pages.page_of(name), visit_id)
    whole = use is not None or keep
    shown = with_state(shown_field(name, values, {}, request.units), saved)
    if saved.ok and request.POST.get("range"):
        shown = replace(shown, narrow_from=request.POST["range"])
    context = {"visit": services.find_visit(request.firm, visit_id), "asked": shown}
    # Other fields of the page say the same thing, line by line: they follow, or would undo this.
    context["follow"] = [
        shown_field(one, values, {}, request.units)
        for one in fields.FIELDS
        if one != name and one in request.POST and before.get(one, "") != values.get(one, "")
    ]
    if name == "unit_kind":
        context["also"] = _side(request, visit_id)
    template = "visits/field.html" if whole else "visits/told_now.html"
    return render(request, template, context, status=200 if saved.ok else REFUSED)


@require_safe
def narrowed(request: FirmRequest, visit_id: UUID) -> HttpResponse:
    """How the saved fact moved the airflow's range; the page keeps the new range for the next."""
    services.find_visit(request.firm, visit_id)
    try:
        answer = services.answer(request.firm, visit_id)
    except services.NotYetError:
        return HttpResponse("")
    except InchwaterError as error:
        # The facts contradict each other or leave the table: that is what the fact has shown.
        return render(request, "error_fragment.html", {"error": error})
    line = pages.narrowed_line(request.GET.get("from", ""), answer.airflow, request.units)
    range_ = pages.range_text(answer.airflow)
    return render(request, "visits/narrowed.html", {"line": line, "range": range_})


def _save(
    request: FirmRequest, visit_id: UUID, name: str, typed: str, keep: bool
) -> services.Saved:
    return services.save_field(
        request.firm, visit_id, name, typed, keep=keep, units=request.units, user=request.user
    )


def _partner(request: FirmRequest, visit_id: UUID, name: str) -> None:
    """Save the column of a cell with its airflow: the page wrote it there itself."""
    if not name.endswith("_airflow") or not name.startswith("cell"):
        return
    column = name.replace("_airflow", "_tesp")
    typed = typed_in(request, column)
    known = services.visit_values(request.firm, visit_id, request.units).get(column)
    if typed and not known:
        _save(request, visit_id, column, typed, keep=False)


def _side(request: FirmRequest, visit_id: UUID) -> ShownField | None:
    """The question on which side of the coil was read, where the kind of unit raises it."""
    values = services.visit_values(request.firm, visit_id, request.units)
    if "supply_at" not in pages.asks(values):
        return None
    states = services.draft_states(request.firm, visit_id)
    return shown_field("supply_at", values, states, request.units)
