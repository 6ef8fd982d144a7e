"""Surveys that many tests share: two described houses and their blower tables, all invented."""

from __future__ import annotations

from dataclasses import replace

from inchwater.survey import (
    BlowerTable,
    Branch,
    Coil,
    Duct,
    Fact,
    Filter,
    Grille,
    How,
    Job,
    Reading,
    Return,
    Room,
    Supply,
    Survey,
    TableRow,
    Trial,
    Unit,
)
from inchwater.units import to_si

# Invented tables: (cfm, W) by tap and static from 0.1 in. w.c. in steps of 0.1; None is a dash.
TORQUE = {
    "5": [(1675, 535), (1620, 535), (1565, 535), (1505, 530), (1440, 530), (1380, 525),
          (1310, 520), (1240, 510), (1165, 500), (1090, 490)],
    "4": [(1570, 450), (1515, 450), (1460, 455), (1400, 455), (1340, 455), (1275, 455),
          (1210, 450), (1140, 445), (1070, 440), (995, 435)],
    "3": [(1450, 360), (1395, 365), (1335, 370), (1280, 375), (1215, 375), (1155, 380),
          (1090, 380), (1025, 380), (955, 380), (880, 375)],
}  # fmt: skip
PSC = {
    "high": [(1630, 675), (1555, 655), (1480, 635), (1400, 615), (1310, 590), (1220, 560),
             (1120, 535), (1010, 500), (890, 465), (750, 420)],
    "low": [(1245, 430), (1175, 425), (1105, 415), (1025, 405), (945, 395), (855, 380),
            (755, 360), (645, 340), (525, 310), None],
}  # fmt: skip
AIRFLOW = {
    "1600": [(1600, 285), (1595, 330), (1595, 375), (1590, 420), (1585, 465), (1585, 515),
             (1580, 565), (1580, 610), (1525, 630), (1440, 630)],
    "1400": [(1400, 205), (1395, 245), (1395, 285), (1390, 325), (1390, 370), (1385, 410),
             (1385, 455), (1380, 500), (1380, 545), (1375, 590)],
    "1200": [(1200, 145), (1200, 180), (1195, 215), (1195, 250), (1190, 290), (1190, 325),
             (1185, 365), (1185, 405), (1180, 445), (1180, 490)],
    "800": [(800, 65), (800, 90), (795, 115), (795, 145), (795, 175), (790, 200),
            (790, 230), (790, 265), (785, 295), (785, 325)],
}  # fmt: skip


def blower(cells, includes=frozenset({"coil-dry"})):
    """The blower table of cells by tap."""
    rows = tuple(
        TableRow(
            tap,
            to_si(round(0.1 * (i + 1), 1), "inwc"),
            None if cell is None else to_si(cell[0], "cfm"),
            None if cell is None else float(cell[1]),
        )
        for tap, row in cells.items()
        for i, cell in enumerate(row)
    )
    return BlowerTable("table", rows, includes)


def seen(value, unit, how=How.SEEN):
    return Fact(float(value), unit, how)


def run(id_, diameter=6, length=25, slack="slack", room=None):
    return Branch(
        id_,
        Duct(
            material="flex",
            diameter=seen(diameter, "in"),
            length=seen(length, "ft"),
            slack=slack,
            fittings=("take-off-straight", "flex-bend-90", "boot-angle"),
            register=Grille(seen(10, "in"), seen(6, "in")),
        ),
        room=room,
    )


def attic(cells=TORQUE, tap="4", motor="constant-torque", includes=frozenset({"coil-dry"})):
    """A 3-ton heat pump in an attic: one ducted return, four runs at the plenum, two on a trunk."""
    return Survey(
        unit=Unit(
            kind="air-handler",
            capacity=seen(3, "ton", How.STATED),
            motor=motor,
            tesp_rating=seen(0.5, "inwc"),
            table=blower(cells, includes),
            tap=tap,
            heat="heat-pump",
        ),
        filters=(
            Filter(
                "f1",
                "unit",
                grade="pleat-1in-merv8",
                width=seen(25, "in"),
                height=seen(20, "in"),
            ),
        ),
        coils=(Coil("coil", inside_unit=True),),
        returns=(
            Return(
                "g1",
                "ducted",
                Grille(seen(30, "in"), seen(20, "in")),
                duct=Duct(
                    material="flex",
                    diameter=seen(16, "in"),
                    length=seen(12, "ft"),
                    slack="tight",
                    fittings=("return-box", "flex-bend-90"),
                ),
            ),
        ),
        supply=Supply(
            branches=(
                run("r1", 8, 20),
                run("r2", 7, 26),
                run("r3", 7, 34),
                run("r4", 6, 16),
                Branch(
                    "t1",
                    Duct(
                        material="metal",
                        diameter=seen(12, "in"),
                        length=seen(14, "ft"),
                        fittings=("take-off-tapered",),
                    ),
                    branches=(run("r5", 8, 20), run("r6", 8, 24)),
                ),
            )
        ),
    )


def house(**changes):
    """The attic house with rooms, a zone's damper on two runs, and whatever is given."""
    survey = attic()
    branches = tuple(
        replace(b, room="Bedroom")
        if b.id == "r2"
        else replace(b, zone="east")
        if b.id == "r3"
        else b
        for b in survey.supply.branches
    )
    rooms = (Room("bed", "Bedroom"),)
    survey = replace(survey, supply=replace(survey.supply, branches=branches), rooms=rooms)
    return replace(survey, **changes)


def basement():
    """A 3-ton cased coil on a furnace with a PSC blower: one filter, panned return, six runs."""
    return Survey(
        unit=Unit(
            kind="furnace",
            capacity=seen(3, "ton", How.STATED),
            motor="psc",
            table=blower(PSC, frozenset()),
            tap="high",
            heat="gas",
        ),
        filters=(
            Filter(
                "f1",
                "unit",
                grade="pleat-1in-merv8",
                width=seen(25, "in"),
                height=seen(16, "in"),
                condition="used",
            ),
        ),
        coils=(Coil("coil", inside_unit=False),),
        returns=(Return("g1", "panned", Grille(seen(24, "in"), seen(14, "in"))),),
        supply=Supply(branches=tuple(run(f"r{i}", 7, 20, "tight") for i in range(1, 9))),
    )


def reading(id_, at, value, quantity="static", unit="inwc", instrument=None):
    """A reading; a static's sign is given by its side."""
    si = to_si(value, unit)
    if quantity == "static" and at in ("return", "before-filter"):
        si = -abs(si)
    return Reading(id_, at, quantity, str(value), unit, si, instrument)


def trial(id_="t1", after=(), condition=None, **values):
    """A trial; ``before_filter=0.2`` reads a static, ``power`` watts, ``voltage`` volts."""
    units = {"power": "w", "voltage": "v"}
    readings = tuple(
        reading(
            f"{id_}-{name}",
            "unit" if name in units else name.replace("_", "-"),
            value,
            name if name in units else "static",
            units.get(name, "inwc"),
        )
        for name, value in values.items()
    )
    return Trial(
        id_, tuple(after), {"call": "cooling"} if condition is None else condition, readings
    )


def job(survey, *trials, changes=(), instruments=()):
    return Job("job", survey, tuple(changes), tuple(trials), tuple(instruments))


def supply_of(survey, branches):
    """The survey with other branches."""
    return replace(survey, supply=replace(survey.supply, branches=tuple(branches)))
