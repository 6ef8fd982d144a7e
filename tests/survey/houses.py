"""Small invented surveys that the tests of the survey share."""

from __future__ import annotations

from inchwater.survey import (
    BlowerTable,
    Branch,
    Coil,
    Duct,
    Fact,
    Filter,
    Grille,
    Job,
    Return,
    Supply,
    Survey,
    TableRow,
    Unit,
)


def fact(value: float, unit: str) -> Fact:
    """A fact that somebody saw."""
    return Fact(value, unit)


def table() -> BlowerTable:
    """Two taps with two cells each."""
    return BlowerTable(
        "t1",
        (
            TableRow("2", 100.0, 0.40),
            TableRow("2", 150.0, 0.35),
            TableRow("3", 100.0, 0.50),
            TableRow("3", 150.0, 0.45),
        ),
        frozenset({"coil-dry"}),
    )


def house() -> Survey:
    """An air handler with a filter grille, and a plenum with one trunk and three runs."""
    return Survey(
        unit=Unit(
            "air-handler",
            fact(3, "ton"),
            table=table(),
            tap="2",
            calls={"cooling": "2", "heating": "3"},
        ),
        filters=(
            Filter(
                "f1",
                "grille",
                grade="pleat-1in-merv8",
                width=fact(16, "in"),
                height=fact(25, "in"),
                condition="loaded",
                rated_drop=fact(0.2, "inwc"),
                rated_airflow=fact(800, "cfm"),
            ),
        ),
        coils=(Coil("c1", inside_unit=True),),
        returns=(
            Return(
                "g1",
                "ducted",
                Grille(fact(16, "in"), fact(25, "in"), "grille-bar"),
                "f1",
                Duct(fittings=("elbow-90-gored", "elbow-90-gored")),
            ),
        ),
        supply=Supply(
            run_like=Duct(
                "flex",
                fact(6, "in"),
                fact(25, "ft"),
                "slack",
                ("flex-bend-90", "boot-angle"),
                Grille(fact(10, "in"), fact(4, "in"), "register-bar"),
            ),
            branches=(
                Branch(
                    "t1",
                    Duct("metal", fact(12, "in"), fact(10, "ft")),
                    branches=(Branch("r1", room="den"), Branch("r2")),
                ),
                Branch("r3", Duct(diameter=fact(8, "in"))),
            ),
        ),
    )


def job(survey: Survey | None = None, **more: object) -> Job:
    """A job of this survey."""
    return Job("j1", survey or house(), **more)  # type: ignore[arg-type]
