"""Labels and tables of filters and coils with several points: one power law through all of them."""

from __future__ import annotations

import math
from collections.abc import Sequence

from inchwater.errors import PartError
from inchwater.parts import coefficients
from inchwater.parts.laws import PowerLaw
from inchwater.units import from_si


def law_from_points(
    part: str, drops: Sequence[float], airflows: Sequence[float]
) -> tuple[PowerLaw, float]:
    """Pressure law through several printed points of a filter or a coil, and its spread.

    Parameters
    ----------
    part : {"filter", "coil"}
        Whose points they are.
    drops, airflows : sequence of float
        At least two, at different airflows. [Pa, m3/s]

    Returns
    -------
    law : PowerLaw
        In standard air; its exponent is the points' own, from 1 to 2.
    sigma_ln : float
        Of the lognormal spread of a product round its print and of the points round the law. [-]

    Raises
    ------
    PartError
        at ``<part>.rated_drop`` if no law of such a part goes through the points: a point may lie
        off it by 5 % and by the rounding of its print, 0.005 in. w.c.

    References
    ----------
    ``data/ratings.csv``: proposed.
    """
    law, rest = PowerLaw.fitted(drops, airflows)
    rounding = coefficients.value("ratings", "filter rounding")
    if rest > coefficients.value("ratings", "filter reading") + rounding / min(drops):
        raise PartError(
            where=f"{part}.rated_drop",
            came=", ".join(
                f"{from_si(drop, 'inwc'):.2f} in. w.c. at {from_si(flow, 'cfm'):.0f} cfm"
                for drop, flow in zip(drops, airflows, strict=True)
            ),
            right=f"a {part}'s drop rises with the first to the second power of the airflow",
            do="Read the print again: each drop belongs to its own airflow.",
        )
    return law, math.hypot(coefficients.value("ratings", f"{part} sigma_ln"), rest)
