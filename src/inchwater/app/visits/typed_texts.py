"""The texts that a revision keeps beside its document: what was typed for it, in which units."""

from __future__ import annotations

from typing import Any

from inchwater.app.visits.fields import FIELDS
from inchwater.app.visits.models import Visit
from inchwater.app.visits.placing import Document
from inchwater.app.visits.recorded import said
from inchwater.units import System


def typed_with(
    visit: Visit, document: Document, name: str, text: str, units: System
) -> dict[str, Any]:
    """The revision's texts with one more, and without those that another document belies.

    Parameters
    ----------
    visit : Visit
        Its revision has the texts so far.
    document : dict
        What follows the revision's document.
    name, text, units : str
        What was typed now; blank takes the field's text away.
    """
    typed = {
        key: one
        for key, one in visit.revision.typed.items()
        if key != name and _still(visit, document, key, one["units"])
    }
    if text.strip():
        typed[name] = {"typed": text, "units": units}
    return typed


def _still(visit: Visit, document: Document, name: str, units: System) -> bool:
    """Whether a field says the same in the new document as in the old one."""
    if name not in FIELDS:
        return False
    field = FIELDS[name]
    return said(visit.revision.document, field, units) == said(document, field, units)
