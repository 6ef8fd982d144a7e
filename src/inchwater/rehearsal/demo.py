"""The three demo jobs: what is known of each invented house, and what was read in it.

``python -m inchwater.rehearsal.demo`` writes the job files and, beside them, what truly was there.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from inchwater import units
from inchwater.rehearsal import houses, truth
from inchwater.rehearsal.observe import Observer
from inchwater.survey import (
    BlowerTable,
    Branch,
    Coil,
    Duct,
    Fact,
    Filter,
    Grille,
    How,
    Instrument,
    Job,
    Place,
    Return,
    Supply,
    Survey,
    TableRow,
    Trial,
    Unit,
)

COOLING = {"call": "cooling", "coil": "wet"}
INSTRUMENTS = (Instrument("i1", "manometer"), Instrument("i2", "power meter"))
ROOMS = {
    "a": ("hall", "kitchen", "living room", "middle bedroom", "den", "back bedroom"),
    "b": (
        "kitchen",
        "dining",
        "living room",
        "bath",
        "study",
        "bedroom 1",
        "bedroom 2",
        "bedroom 3",
    ),
    "c": (
        "entry",
        "kitchen",
        "living room",
        "family",
        "office",
        "bedroom 1",
        "bedroom 2",
        "bedroom 3",
    ),
}


def demo_a() -> tuple[Job, dict[str, truth.State]]:
    """The attic heat pump: the supply is the cause."""
    state = truth.settle(houses.house_a())
    seen = Observer(seed=SEED, taken="2026-03-02T09:10:00Z")
    survey = Survey(
        unit=Unit(
            kind="air-handler",
            capacity=Fact(3.0, "ton", How.SEEN),
            motor="constant-torque",
            tesp_rating=Fact(0.5, "inwc", How.SEEN),
            table=_table("a", frozenset({"coil-dry"})),
            tap="3",
            calls={"cooling": "3"},
            heat="heat-pump",
        ),
        filters=tuple(
            Filter(
                id=id_,
                at="grille",
                grade="pleat-1in-merv8",
                width=_inches(20),
                height=_inches(25),
                condition="used",
            )
            for id_ in ("f1", "f2")
        ),
        coils=(Coil("c1", inside_unit=True, condition="clean"),),
        returns=tuple(
            Return(
                id=f"g{number}",
                kind="ducted",
                grille=Grille(_inches(20), _inches(25)),
                filter=f"f{number}",
                duct=Duct("flex", _inches(16), _feet(length)),
            )
            for number, length in ((1, 10), (2, 14))
        ),
        supply=Supply(
            run_like=Duct(
                "flex",
                _inches(6),
                slack="slack",
                fittings=("take-off-straight", *["flex-bend-90"] * 3, "boot-angle"),
                register=_register("a"),
            ),
            branches=tuple(_runs("a")),
        ),
        place=Place(space="attic", fuel_appliances=()),
    )
    job = Job(
        id="demo-a",
        name="Attic heat pump",
        survey=survey,
        trials=(Trial("tr1", condition=COOLING, readings=seen.statics(state.static)),),
        instruments=INSTRUMENTS[:1],
        complaint="does not get cool, and the registers hiss",
        complaint_room="back bedroom",
    )
    return job, {"tr1": state}


def demo_b() -> tuple[Job, dict[str, truth.State]]:
    """The basement furnace: the filter and the return are the cause."""
    house = houses.house_b()
    state, bare = truth.settle(house), truth.settle(truth.without_filter(house))
    seen = Observer(seed=SEED, taken="2026-03-03T14:30:00Z")
    survey = Survey(
        unit=Unit(
            kind="furnace",
            capacity=Fact(3.0, "ton", How.SEEN),
            motor="psc",
            tesp_rating=Fact(0.5, "inwc", How.SEEN),
            table=_table("b", frozenset()),
            tap="med-high",
            calls={"cooling": "med-high"},
            nominal_volts=Fact(120.0, "v", How.SEEN),
            heat="gas",
        ),
        filters=(
            Filter(
                id="f1",
                at="unit",
                grade="pleat-1in-merv8",
                width=_inches(16),
                height=_inches(25),
                condition="loaded",
            ),
        ),
        coils=(Coil("c1", inside_unit=False, condition="clean"),),
        returns=(Return(id="g1", kind="panned", grille=Grille(_inches(24), _inches(14))),),
        supply=Supply(
            run_like=Duct(
                "metal",
                _inches(6),
                fittings=("trunk-take-off-90", "elbow-90-smooth", "elbow-90-gored", "boot-angle"),
                register=_register("b"),
            ),
            branches=(
                Branch(
                    "t1",
                    Duct("metal", _inches(14), _feet(24)),
                    branches=tuple(_runs("b")),
                ),
            ),
        ),
        place=Place(space="basement", fuel_appliances=("natural-draft",)),
    )
    job = Job(
        id="demo-b",
        name="Basement furnace",
        survey=survey,
        trials=(
            Trial("tr1", condition=COOLING, readings=seen.statics(_ordered(state.static))),
            Trial(
                "tr2",
                condition=COOLING | {"filter:f1": "out"},
                readings=seen.statics(_ordered(bare.static)),
            ),
        ),
        instruments=INSTRUMENTS[:1],
        complaint="weak air everywhere, and the filter slot whistles",
    )
    return job, {"tr1": state, "tr2": bare}


def demo_c() -> tuple[Job, dict[str, truth.State]]:
    """The packaged unit: set too low, which its statics cannot show and its watts do."""
    state = truth.settle(houses.house_c())
    seen = Observer(seed=SEED, taken="2026-03-04T11:05:00Z")
    survey = Survey(
        unit=Unit(
            kind="packaged",
            capacity=Fact(4.0, "ton", How.SEEN),
            motor="constant-airflow",
            tesp_rating=Fact(0.5, "inwc", How.SEEN),
            table=_table("c", frozenset({"coil-dry"})),
            tap="1200",
            calls={"cooling": "1200"},
            nominal_volts=Fact(240.0, "v", How.SEEN),
            heat="heat-pump",
        ),
        filters=tuple(
            Filter(
                id=id_,
                at="grille",
                grade="pleat-1in-merv8",
                width=_inches(30),
                height=_inches(20),
                condition="used",
            )
            for id_ in ("f1", "f2")
        ),
        coils=(Coil("c1", inside_unit=True, condition="clean"),),
        returns=tuple(
            Return(
                id=f"g{number}",
                kind="ducted",
                grille=Grille(_inches(30), _inches(20)),
                filter=f"f{number}",
                duct=Duct("flex", _inches(14), _feet(length)),
            )
            for number, length in ((1, 8), (2, 12))
        ),
        supply=Supply(
            run_like=Duct(
                "flex",
                _inches(7),
                slack="tight",
                fittings=("trunk-take-off-90", "flex-bend-90", "boot-angle"),
                register=_register("c"),
            ),
            branches=(
                Branch(
                    "t1",
                    Duct("metal", _inches(18), _feet(30)),
                    branches=tuple(_runs("c")),
                ),
            ),
        ),
        place=Place(space="roof", fuel_appliances=()),
    )
    readings = (*seen.statics(state.static), seen.power(state.power), seen.voltage(240.0))
    job = Job(
        id="demo-c",
        name="Rooftop packaged unit",
        survey=survey,
        trials=(Trial("tr1", condition=COOLING, readings=readings),),
        instruments=INSTRUMENTS,
        complaint="runs all afternoon and the house stays warm",
    )
    return job, {"tr1": state}


DEMOS = {"a": demo_a, "b": demo_b, "c": demo_c}
CAUSES = {"a": "supply", "b": "return", "c": "setting"}
# Chosen among the first few so that the rounded readings of A are the ones its story names.
SEED = 4
AIR_ORDER = ("before-filter", "return", "before-coil", "supply")


def documents() -> dict[str, str]:
    """The text of every file that the demo consists of, by its name."""
    from inchwater.survey import job_to_dict

    texts, truths = {}, {}
    for key, build in DEMOS.items():
        job, states = build()
        texts[f"demo-{key}.json"] = _text(job_to_dict(job))
        truths[f"demo-{key}"] = {
            "cause": CAUSES[key],
            "trials": {trial: _state(state) for trial, state in states.items()},
        }
    return texts | {"demo-truth.json": _text(truths)}


def main() -> None:
    """Write the files of the demo beside the figures that made them."""
    folder = Path(__file__).parent / "data"
    for name, text in documents().items():
        (folder / name).write_text(text, encoding="utf-8")


def _text(document: Mapping[str, Any]) -> str:
    return json.dumps(document, indent=1, ensure_ascii=False) + "\n"


def _state(state: truth.State) -> dict[str, Any]:
    return {
        "airflow_m3s": round(state.airflow, 5),
        "delivered_m3s": round(state.delivered, 5),
        "tesp_pa": round(state.tesp, 2),
        "power_w": round(state.power, 1),
        "static_pa": {point: round(value, 2) for point, value in state.static.items()},
        "runs_m3s": {run: round(flow, 5) for run, flow in state.runs.items()},
    }


def _table(house: str, includes: frozenset[str]) -> BlowerTable:
    return BlowerTable(
        id="t1",
        rows=tuple(
            TableRow(
                tap=row["tap"],
                tesp=units.to_si(float(row["tesp_inwc"]), "inwc"),
                airflow=units.to_si(float(row["airflow_cfm"]), "cfm"),
                power=float(row["power_w"]),
            )
            for row in houses.table(house)
        ),
        includes=includes,
    )


def _runs(house: str) -> Iterator[Branch]:
    for number, (length, room) in enumerate(zip(houses.RUNS[house], ROOMS[house], strict=True), 1):
        yield Branch(f"r{number}", Duct(length=_feet(length)), room=room)


def _register(house: str) -> Grille:
    width, height = houses.REGISTERS[house]
    return Grille(_inches(width), _inches(height))


def _ordered(static: Mapping[str, float]) -> dict[str, float]:
    return {point: static[point] for point in AIR_ORDER if point in static}


def _inches(value: float) -> Fact:
    return Fact(float(value), "in", How.SEEN)


def _feet(value: float) -> Fact:
    return Fact(float(value), "ft", How.SEEN)


if __name__ == "__main__":
    main()
