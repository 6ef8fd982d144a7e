"""What a system is taken to have where nobody has described it: one filter, one coil, one return.

The network gives these the wide resistances of the field; a change can name them before anybody
has looked at them, so that three numbers are enough for a first what-if.
"""

from __future__ import annotations

from inchwater.survey.ducts import Grille, Return
from inchwater.survey.job import Survey
from inchwater.survey.unit import Coil, Filter

# What is bent with elbows; the rest bends by itself.
_RIGID = ("metal", "pvc", "lined")


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


def typical_run_fittings(material: str | None = None, shape: str | None = None) -> tuple[str, ...]:
    """What a supply run has when nobody described it: a take-off, two bends, a boot.

    Common practice, no source; rigid ``material`` gets elbows instead of flex bends, rectangular
    ``shape`` those of rectangular duct and a stack's head.

    Examples
    --------
    >>> typical_run_fittings("metal", "rectangular")[-1]
    'boot-stack'
    """
    if shape == "rectangular":
        return ("take-off-trunk", "elbow-90-radius", "elbow-90-radius", "boot-stack")
    bend = "elbow-90-gored" if material in _RIGID else "flex-bend-90"
    return ("take-off-straight", bend, bend, "boot-angle")


def typical_return_fittings(
    material: str | None = None, shape: str | None = None
) -> tuple[str, ...]:
    """What a ducted return has when nobody described it: box, one bend, exit into the plenum.

    Common practice, no source; ``material`` and ``shape`` as in :func:`typical_run_fittings`.
    """
    if shape == "rectangular":
        return ("return-box", "elbow-90-square", "duct-exit")
    bend = "flex-bend-90" if material == "flex" else "elbow-90-gored"
    return ("return-box", bend, "duct-exit")


def typical_fittings(
    is_trunk: bool, material: str | None, shape: str | None, on_trunk: bool
) -> tuple[str, ...]:
    """The fittings of a supply branch that nobody has described.

    Parameters
    ----------
    is_trunk : bool
        Whether other branches leave from it.
    material, shape : str or None
        As in :func:`typical_run_fittings`.
    on_trunk : bool
        Whether it leaves a trunk and not the plenum.
    """
    if is_trunk:
        return ("tee-straight-on",) if on_trunk else ("take-off-straight",)
    first, *rest = typical_run_fittings(material, shape)
    return ("trunk-take-off-90" if on_trunk else first, *rest)
