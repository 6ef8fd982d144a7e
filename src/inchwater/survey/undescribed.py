"""What a system is taken to have where nobody has described it: one filter, one coil, one return.

The network gives these the wide resistances of the field; a change can name them before anybody
has looked at them, so that three numbers are enough for a first what-if.
"""

from __future__ import annotations

from inchwater.survey.ducts import Grille, Return
from inchwater.survey.job import Survey
from inchwater.survey.unit import Coil, Filter


def filters_of(survey: Survey) -> tuple[Filter, ...]:
    """The filters as surveyed; one of unknown size at the unit where nobody has said."""
    return (Filter(id="filter"),) if survey.filters is None else survey.filters


def coils_of(survey: Survey) -> tuple[Coil, ...]:
    """The coils as surveyed; the one that each kind of unit has where nobody has said.

    An air handler or packaged unit holds its own; a furnace with a cooling capacity is taken to
    have a cased coil until somebody says that it has none.
    """
    if survey.coils is not None:
        return survey.coils
    return (Coil(id="coil", inside_unit=survey.unit.kind != "furnace"),)


def grilles_of(survey: Survey) -> tuple[Return, ...]:
    """The returns that end in a grille; a common drop that others lead into does not."""
    return tuple(one for one in survey.returns or () if one.kind != "common")


def returns_of(survey: Survey) -> tuple[Return, ...]:
    """The returns as surveyed; one behind each filter grille, or one in all, where nobody has."""
    if survey.returns is not None:
        return survey.returns
    at_grille = (one for one in survey.filters or () if one.at == "grille")
    behind = tuple(
        Return(
            id=f"return-{one.id}", filter=one.id, grille=Grille(width=one.width, height=one.height)
        )
        for one in at_grille
    )
    return behind or (Return(id="return"),)
