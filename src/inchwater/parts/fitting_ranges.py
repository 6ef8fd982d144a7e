"""What fittings are known for, in sentences: the duct, its sides, the sections that meet, the air.

A fitting outside its range still has a loss, but an answer says that it is a guess.
"""

from __future__ import annotations

from inchwater.parts import coefficients
from inchwater.parts.fitting_table import Fitting
from inchwater.parts.sections import Section
from inchwater.units import from_si


def _value(key: str) -> float:
    return coefficients.value("fittings_forms", key)


def beyond(
    found: Fitting, section: Section, other: Section | None, reynolds: float | None
) -> str | None:
    """A sentence, or several, when a fitting on this duct is outside what it is known for.

    Parameters
    ----------
    found : Fitting
        The fitting.
    section, other : Section, Section or None
        Of the duct that it sits on and of its neighbour. [m]
    reynolds : float or None
        Of the air in the duct; None is not judged. [-]

    Returns
    -------
    str or None
        None when all is within range.
    """
    said = [
        sentence
        for sentence in (
            _wrong_duct(found, section),
            _wrong_sides(found, section),
            None if other is None else _wrong_areas(found, section, other),
        )
        if sentence
    ]
    least = _value("least Reynolds number")
    if reynolds is not None and reynolds < least:
        said.append(
            f"“{found.label}” carries so little air (Reynolds number {reynolds:.0f}, known from "
            f"{least:.0f}) that its coefficient is larger than is said here: its loss is a guess."
        )
    return " ".join(said) or None


def _wrong_duct(found: Fitting, section: Section) -> str | None:
    if found.shape != "any" and section.shape != found.shape:
        return (
            f"“{found.label}” is a fitting of {found.shape} duct, and this duct is "
            f"{section.shape}: its loss is a guess."
        )
    size = section.equivalent_diameter
    # Sizes are typed in inches, so that one and the same size can differ in the last digit.
    if found.smallest * (1.0 - 1e-9) <= size <= found.largest * (1.0 + 1e-9):
        return None
    inches, low, high = (from_si(each, "in") for each in (size, found.smallest, found.largest))
    return (
        f"“{found.label}” is known from {low:.0f} to {high:.0f} in, and this duct acts as one of "
        f"{inches:.1f} in: its loss is a guess."
    )


def _wrong_sides(found: Fitting, section: Section) -> str | None:
    if found.form not in ("square", "radius"):
        return None
    low, high = _value("least side ratio"), _value("largest side ratio")
    sides = section.height / section.width
    if low * (1.0 - 1e-9) <= sides <= high * (1.0 + 1e-9):
        return None
    return (
        f"“{found.label}” is known for ducts {low:g} to {high:g} times as high as wide, and this "
        f"one is {sides:.2g} times: its loss is a guess."
    )


def _wrong_areas(found: Fitting, section: Section, other: Section) -> str | None:
    """A sentence when two sections that meet in a fitting do not fit each other."""
    ratio = section.area / other.area
    if found.form == "plenum" and ratio > _value("largest plenum share"):
        return (
            f"“{found.label}” takes {ratio:.0%} of the plenum's section, where it is known up to "
            f"{_value('largest plenum share'):.0%}: its loss is a guess."
        )
    if found.form == "contraction" and ratio > 1.0:
        return (
            f"“{found.label}” leads into a duct of {ratio:.2g} times the area: it is computed as "
            "the enlargement that it is."
        )
    if found.form == "enlargement" and ratio < 1.0:
        return (
            f"“{found.label}” leads into a duct of {ratio:.2g} times the area: it is computed as "
            "the reducer that it is."
        )
    least = _value("least area ratio")
    if found.form in ("contraction", "enlargement") and min(ratio, 1.0 / ratio) < least:
        return (
            f"“{found.label}” joins ducts of which one has {max(ratio, 1.0 / ratio):.0f} times the "
            f"area of the other, where it is known up to {1.0 / least:.0f}: its loss is a guess."
        )
    low, high = _value("least boot ratio"), _value("largest boot ratio")
    if found.form == "boot" and not low <= ratio <= high:
        return (
            f"“{found.label}” joins a run of {ratio:.2g} times the area of its register's box, "
            f"where it is known from {low:g} to {high:g}: its loss is a guess."
        )
    return None
