"""What the label of a new filter has to say, so that it is bought by its drop and not by its class.

Products of one class differ by about a third; a label is kept to within a tenth.
"""

from __future__ import annotations

from inchwater.parts.filters import REFERENCE_VELOCITY, UNKNOWN, filter_law, grade
from inchwater.survey import Fact, printed_airflow, printed_drop


def wanted_label(
    key: str | None, width: Fact | None, height: Fact | None, count: int = 1
) -> dict[str, Fact]:
    """The clean drop that a new filter's label may say at most, at the airflow that it is for.

    It is the middle of the class, so that half of its products have it or less.

    Parameters
    ----------
    key : str or None
        The class, a key of ``parts/data/filters.csv``; None where nobody knows it.
    width, height : Fact or None
        Nominal size of one.
    count : int
        How many stand side by side.

    Returns
    -------
    dict of str to Fact
        ``rated_drop`` and ``rated_airflow`` as a change takes them; empty where the size is not
        known, or where filters of this class are washed and not bought.

    References
    ----------
    Labels with the initial drop at several airflows: California Title 20 since July 2024, by
    ANSI/AHRI 680 or ASHRAE Standard 52.2 (read, secondary).  That a filter is chosen by its label:
    common practice, no source.
    """
    kind = grade(key)
    if width is None or height is None or (kind.merv is None and kind.key != UNKNOWN):
        return {}
    airflow = printed_airflow(REFERENCE_VELOCITY * width.si * height.si * count)
    law, _ = filter_law(width.si, height.si, key, count)
    return {"rated_drop": printed_drop(float(law.drop(airflow.si))), "rated_airflow": airflow}
