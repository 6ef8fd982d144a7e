"""Fittings as loss coefficients: take-offs, elbows, flex bends, boots, boxes, dampers.

Each coefficient is on the velocity pressure of the run it sits on and comes from open code
(``fluids``: Rennels, Crane) or a public report; ``data/fittings.csv`` holds the very call.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from inchwater.parts import coefficients


@dataclass(frozen=True, slots=True)
class Fitting:
    """One fitting as a handbook has it, and how far those in houses are from that.

    ``loss_coefficient`` [-] is the handbook's, on the velocity pressure of ``section`` (``run``:
    the run it sits on). What is found in houses is that times a lognormal of median ``median`` [-]
    and ``sigma_ln`` [-].
    """

    key: str
    label: str
    loss_coefficient: float
    section: str
    median: float
    sigma_ln: float
    source: str
    place: str
    status: str


def _read() -> Mapping[str, Fitting]:
    return MappingProxyType(
        {
            key: Fitting(
                key=key,
                label=row.more["label"],
                loss_coefficient=row.value,
                section=row.more["section"],
                median=row.number("median"),
                sigma_ln=row.number("sigma_ln"),
                source=row.source,
                place=row.place,
                status=row.status,
            )
            for key, row in coefficients.table("fittings").items()
        }
    )


FITTINGS: Mapping[str, Fitting] = _read()


def fitting(key: str) -> Fitting:
    """The fitting of this key; UnknownNameError with the choices if there is none.

    References
    ----------
    ``data/fittings.csv``: computed with fluids 1.3.1 (Rennels 2012, Crane TP-410), medians and
    spreads proposed from LBNL-49700 (boots) and the spread between authors.

    Examples
    --------
    >>> fitting("elbow-90-mitred").loss_coefficient
    1.202
    """
    coefficients.choose(key, FITTINGS, "fitting")
    return FITTINGS[key]


def total_loss_coefficient(keys: Iterable[str]) -> float:
    """Sum of the handbook loss coefficients of fittings on one run. [-]

    Examples
    --------
    >>> round(total_loss_coefficient(["take-off-straight", "elbow-90-mitred"]), 3)
    1.772
    """
    return sum(fitting(key).loss_coefficient for key in keys)


def typical_run_fittings(material: str | None = None) -> tuple[str, ...]:
    """What a supply run has when nobody described it: a take-off, two bends, a boot.

    Common practice, no source; ``material`` metal gets elbows instead of flex bends.
    """
    bend = "elbow-90-gored" if material == "metal" else "flex-bend-90"
    return ("take-off-straight", bend, bend, "boot-angle")


def typical_return_fittings(material: str | None = None) -> tuple[str, ...]:
    """What a ducted return has when nobody described it: box, one bend, exit into the plenum.

    Common practice, no source.
    """
    bend = "flex-bend-90" if material == "flex" else "elbow-90-gored"
    return ("return-box", bend, "duct-exit")
