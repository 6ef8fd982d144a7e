"""The options that several commands share, declared once so that they read alike everywhere."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from inchwater.units import System

JobPath = Annotated[
    Path,
    typer.Argument(metavar="JOB", help="The job file, as 'inchwater airflow --save' makes it."),
]
Json = Annotated[
    bool, typer.Option("--json", help="Print exactly one JSON document, an error too.")
]
Si = Annotated[bool, typer.Option("--si", help="Show SI units: Pa, L/s.")]
Tree = Annotated[
    bool,
    typer.Option("--tree", help="Show every part in the air's order with its drop and its air."),
]
Seed = Annotated[
    str | None,
    typer.Option(metavar="N", help="A whole number; the same number gives the same answer."),
]
Keep = Annotated[
    bool, typer.Option("--keep", help="Use a doubtful value as typed instead of asking.")
]
PressureUnit = Annotated[
    str,
    typer.Option(metavar="inwc|pa", help="Unit of the statics when none is typed with them."),
]
SEED = 1


def system_of(si: bool) -> System:
    """The unit system that was asked for."""
    return "si" if si else "ip"
