"""The table of fittings: what each is called, where its loss is from, what ducts it is known for.

``data/fittings.csv`` holds them; ``fittings`` turns one into a loss on a certain duct.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, cast

from inchwater.parts import coefficients

Group = Literal[
    "take-off", "tee", "elbow", "bend", "boot", "transition", "box", "entry", "exit", "damper"
]

# What a page offers first of each group, in the order in which the groups stand on a run.
GROUP_DEFAULTS: Mapping[Group, str] = MappingProxyType(
    {
        "take-off": "take-off-straight",
        "tee": "wye",
        "elbow": "elbow-90-gored",
        "bend": "flex-bend-90",
        "boot": "boot-angle",
        "transition": "reducer",
        "box": "junction-box",
        "entry": "return-box",
        "exit": "duct-exit",
        "damper": "damper-open",
    }
)


@dataclass(frozen=True, slots=True)
class Fitting:
    """One fitting as a handbook has it, and how far those in houses are from that.

    ``loss_coefficient`` [-] is that of a typical size, on the velocity pressure of the run it sits
    on; ``section`` says where the source quotes it: run, small (of two), common (of a tee). What is
    found in houses is the coefficient times a lognormal of median ``median`` [-] and ``sigma_ln``
    [-].  ``form`` names its law in ``fitting_forms`` ("" if it has none), with ``angle`` [rad],
    ``radius`` over width, ``factor`` [-] and ``wall`` roughness [m]; ``shape`` and the equivalent
    diameters ``smallest`` and ``largest`` [m] are the ducts it is known for; ``tee`` is the key of
    its law by flow ratio in ``tees``.
    """

    key: str
    label: str
    group: Group
    loss_coefficient: float
    section: str
    median: float
    sigma_ln: float
    source: str
    place: str
    status: str
    form: str = ""
    angle: float = 0.0
    radius: float = 0.0
    factor: float = 1.0
    wall: float = 0.0
    shape: str = "any"
    smallest: float = 0.0
    largest: float = math.inf
    tee: str | None = None


def _read() -> Mapping[str, Fitting]:
    inch, millimetre = 0.0254, 1e-3
    found = {}
    for key, row in coefficients.table("fittings").items():

        def number(column: str, row: coefficients.Coefficient = row) -> float:
            return row.number(column) if row.more[column] else 0.0

        found[key] = Fitting(
            key=key,
            label=row.more["label"],
            group=cast(Group, row.more["group"]),
            loss_coefficient=row.value,
            section=row.more["section"],
            median=row.number("median"),
            sigma_ln=row.number("sigma_ln"),
            source=row.source,
            place=row.place,
            status=row.status,
            form=row.more["form"],
            angle=math.radians(number("angle")),
            radius=number("radius"),
            factor=number("factor") or 1.0,
            wall=number("wall") * millimetre,
            shape=row.more["shape"],
            smallest=row.number("smallest") * inch,
            largest=row.number("largest") * inch,
            tee=row.more["tee"] or None,
        )
    return MappingProxyType(found)


FITTINGS: Mapping[str, Fitting] = _read()


def fitting(key: str) -> Fitting:
    """The fitting of this key; UnknownNameError with the choices if there is none.

    References
    ----------
    ``data/fittings.csv``: computed with fluids 1.3.1 (Rennels 2012, Crane TP-410), read in public
    code (Idelchik), medians and spreads proposed from LBNL-49700 (boots) and the spread between
    authors.

    Examples
    --------
    >>> fitting("elbow-90-mitred").loss_coefficient
    1.202
    """
    coefficients.choose(key, FITTINGS, "fitting")
    return FITTINGS[key]


def groups() -> Mapping[Group, tuple[Fitting, ...]]:
    """The fittings of each group, its default first, then in the table's order.

    Examples
    --------
    >>> groups()["boot"][0].key
    'boot-angle'
    """
    return {
        group: (
            FITTINGS[default],
            *(each for each in FITTINGS.values() if each.group == group and each.key != default),
        )
        for group, default in GROUP_DEFAULTS.items()
    }
