"""Strategies for whole jobs that pass every check; what files and records are tried with."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st

from inchwater import units
from inchwater.survey import (
    CALLS,
    KINDS,
    READ_AT,
    BlowerTable,
    Branch,
    Bypass,
    Change,
    Coil,
    Duct,
    Filter,
    Grille,
    HeatKit,
    Instrument,
    Job,
    Leakage,
    Place,
    Reading,
    Return,
    Room,
    Supply,
    Survey,
    TableRow,
    Targets,
    Transfer,
    Trial,
    Unit,
    parts_read_at,
)
from inchwater.survey.check import VENTING
from inchwater.survey.facts import UNITS_BY_KIND
from inchwater.survey.ranges import range_of
from tests.properties.small import facts, how, maybe, text, words
from tests.properties.wished import duct_airs, rises, uses, wishes

grilles = st.builds(Grille, maybe(facts("face")), maybe(facts("face")), maybe(words))
fittings = maybe(st.lists(words, max_size=3).map(tuple))


@st.composite
def ducts(draw, ends: bool = True):
    """A duct whose sizes agree with its shape and whose hanging agrees with its material."""
    material = draw(st.sampled_from([None, "flex", "metal", "pvc", "ductboard", "lined"]))
    flex = material in (None, "flex")
    shape = draw(st.sampled_from([None, "round", "rectangular", "oval"]))
    if material == "flex":
        shape = draw(st.sampled_from([None, "round"]))
    sides = [draw(maybe(facts("duct_side"))) for _ in range(2)]
    if shape == "oval" and None not in sides:
        sides.sort(key=lambda side: -side.si)
    is_round = shape == "round" or (shape is None and (material == "flex" or draw(st.booleans())))
    return Duct(
        material,
        draw(maybe(facts("flex_diameter"))) if is_round else None,
        draw(maybe(facts("duct_length"))),
        draw(st.sampled_from([None, "tight", "slack", "draped", "kinked"])) if flex else None,
        draw(fittings),
        draw(maybe(grilles)) if ends else None,
        shape,
        *((None, None) if is_round else sides),
        *(
            (draw(maybe(facts("sag", most=0.15))), draw(maybe(facts("spacing"))))
            if flex
            else (None, None)
        ),
        damper=draw(maybe(facts("damper_angle", most=1.4))),
        insulation=draw(maybe(facts("insulation"))),
        jacket=draw(st.sampled_from([None, "foil", "plain"])),
    )


@st.composite
def transfers(draw):
    """A way out of a room."""
    kind = draw(st.sampled_from(["undercut", "grille", "jumper"]))
    width, height = ("door_width", "undercut") if kind == "undercut" else ("face", "face")
    return Transfer(
        kind,
        draw(maybe(facts(width))),
        draw(maybe(facts(height))),
        draw(ducts(ends=False)) if kind == "jumper" else Duct(),
    )


rooms = st.lists(
    st.tuples(
        maybe(words),
        maybe(st.lists(transfers(), max_size=2).map(tuple)),
        st.sampled_from([None, "sleep", "living", "other"]),
        maybe(facts("hood_airflow")),
        maybe(facts("room_load")),
        maybe(facts("room_load")),
    ),
    max_size=2,
).map(lambda found: tuple(Room(f"room-{n}", *one) for n, one in enumerate(found)))
bypasses = st.lists(
    st.tuples(st.sampled_from([None, "open", "damper", "humidifier"]), ducts(ends=False)),
    max_size=2,
).map(lambda found: tuple(Bypass(f"bypass-{n}", *one) for n, one in enumerate(found)))
heat_kits = st.builds(
    HeatKit, maybe(facts("heat_power")), st.booleans(), least_airflow=maybe(facts("airflow"))
)


@st.composite
def leakages(draw):
    """What is known of either side, of both or of none."""
    found = []
    for side in draw(st.lists(st.sampled_from(["supply", "return"]), unique=True)):
        test = (facts("leak_airflow"), facts("leak_pressure")) if draw(st.booleans()) else ()
        numbers = [draw(one) for one in test] or [None, None]
        sealing = draw(st.sampled_from([None, "sealed", "taped", "unsealed"]))
        found.append(Leakage(side, *numbers, sealing))
    return tuple(found)


@st.composite
def tables(draw):
    """One or two taps that fall with pressure, with dashes at their ends."""
    rows = []
    count = draw(st.integers(2, 4))
    first = draw(st.floats(1.0, 200.0))
    step = draw(st.floats(5.0, 50.0))
    for tap in draw(st.lists(words, min_size=1, max_size=2, unique=True)):
        flow = draw(st.floats(0.5, 2.0))
        for index in range(count):
            flow *= draw(st.floats(0.8, 1.0))
            power = draw(maybe(st.floats(50.0, 900.0)))
            speed = draw(maybe(st.floats(50.0, 150.0)))
            rows.append(TableRow(tap, first + index * step, flow, power, speed))
        if draw(st.booleans()):
            rows.append(TableRow(tap, first + count * step, None))
    boundary = st.sets(st.sampled_from(["filter", "coil-dry", "heater"]))
    return BlowerTable("table", tuple(rows), draw(maybe(boundary.map(frozenset))))


@st.composite
def unit_and_coils(draw):
    """A unit with a table or not, and its coils."""
    table = draw(maybe(tables()))
    taps = st.sampled_from(table.taps) if table else words
    calls = draw(st.dictionaries(st.sampled_from(CALLS), taps))
    output = draw(maybe(facts("heat_output")))
    lowest = range_of("heat_output").low
    low = None
    if output is None or output.si > 1.2 * lowest:
        most = float("inf") if output is None else 0.9 * output.si
        low = draw(maybe(facts("heat_output", most=most)))
    unit = Unit(
        kind=draw(st.sampled_from(["air-handler", "furnace", "packaged"])),
        capacity=draw(facts("capacity")),
        motor=draw(st.sampled_from([None, "psc", "constant-torque", "constant-airflow"])),
        tesp_rating=draw(maybe(facts("tesp_rating"))),
        table=table,
        tap=draw(maybe(taps)),
        calls=calls,
        calls_how={call: draw(how) for call in calls if draw(st.booleans())},
        heat_kit=draw(maybe(heat_kits)),
        nominal_volts=draw(maybe(facts("voltage"))),
        wheel=draw(st.sampled_from([None, "clean", "dusty", "caked"])),
        heat=draw(st.sampled_from([None, "gas", "electric", "heat-pump", "none"])),
        heat_output=output,
        heat_output_low=low,
        rise=draw(rises()),
        sensible_share=draw(maybe(facts("sensible_share"))),
    )
    coil = st.builds(
        Coil,
        st.just("coil"),
        st.booleans(),
        st.sampled_from([None, "clean", "dusty", "caked", "iced"]),
        facts("rated_drop"),
        facts("airflow"),
        st.booleans(),
    )
    return unit, draw(st.sampled_from([None, ()]) | coil.map(lambda one: (one,)))


@st.composite
def filters_and_returns(draw):
    """Filters at the unit or each in a grille of its own; unknown, none or some of both."""
    names = [f"filter-{n}" for n in range(draw(st.integers(0, 3)))]
    in_grilles = draw(st.booleans())
    filters = tuple(
        Filter(
            id=name,
            at="grille" if in_grilles else "unit",
            grade=draw(maybe(words)),
            width=draw(maybe(facts("face"))),
            height=draw(maybe(facts("face"))),
            condition=draw(st.sampled_from([None, "clean", "used", "loaded"])),
            count=draw(st.integers(1, 3)),
        )
        for name in names
    )
    kinds = st.sampled_from([None, "ducted", "panned", "stud", "platform", "open"])
    returns = tuple(
        Return(
            id=f"return-{n}",
            kind=draw(kinds),
            grille=draw(maybe(grilles)),
            filter=name if in_grilles else None,
            duct=draw(ducts()),
        )
        for n, name in enumerate(names)
    )
    if draw(st.booleans()):
        return filters, None
    if returns and draw(st.booleans()):
        common = Return("drop", "common", duct=draw(ducts(ends=False)))
        returns = (replace(returns[0], into="drop", room=draw(maybe(words))), *returns[1:], common)
    return (filters if filters else draw(st.sampled_from([None, ()]))), returns


@st.composite
def supplies(draw):
    """A plenum with runs, some of them on a trunk."""
    runs = [
        Branch(f"run-{n}", draw(ducts()), draw(maybe(words)), zone=draw(maybe(words)))
        for n in range(draw(st.integers(0, 4)))
    ]
    if len(runs) > 1 and draw(st.booleans()):
        runs = [Branch("trunk", draw(ducts(ends=False)), branches=tuple(runs[1:])), runs[0]]
    return Supply("plenum", draw(ducts()), tuple(runs))


@st.composite
def changes(draw, survey: Survey):
    """Changes that this survey allows."""
    made = maybe(st.just("2026-03-02T10:00:00Z"))
    found = []
    for one in survey.filters or ():
        to = {"grade": draw(words), "count": draw(st.integers(1, 4))}
        found.append(Change(f"change-{one.id}", "filter", (one.id,), to, draw(made)))
    for run in () if survey.supply is None else survey.supply.runs:
        to = {"diameter": draw(facts("flex_diameter"))}
        found.append(Change(f"change-{run.id}", "enlarge-run", (run.id,), to, draw(made)))
    if survey.supply is not None and survey.supply.branches:
        to = {"id": "run-new", "room": draw(words), "fittings": ("boot-angle",)}
        found.append(Change("change-add", "add-run", (), to, draw(made)))
    return tuple(found)


def exactly(pascals: float):
    """What a pressure [Pa] is typed as, and in which unit."""
    return st.sampled_from(["inwc", "pa"]).map(
        lambda unit: (f"{abs(units.from_si(pascals, unit)):.2f}", unit)
    )


# A number that was typed is that of the value; words are no number in any script.
remarks = text.filter(lambda typed: not any(char.isnumeric() for char in typed))


def every_place(survey: Survey) -> list[tuple[str, str]]:
    """Every quantity with every place at which it can be read on a system, test points apart."""
    inside = {one.id for one in survey.coils or () if one.inside_unit}
    found = []
    for quantity, kinds in READ_AT.items():
        if quantity == "temperature-rise" and survey.unit.heat == "none":
            continue
        for kind in kinds:
            if kind == "unit":
                found.append((quantity, kind))
            elif kind.endswith(":") and not (kind == "coil:" and survey.coils is None):
                ids = parts_read_at(survey, kind)
                found += [
                    (quantity, kind + id_) for id_ in ids if kind != "coil:" or id_ not in inside
                ]
    return found


def _limits(quantity: str, at: str) -> str:
    if quantity == "airflow" and at != "unit":
        return "hood_airflow"
    return KINDS[quantity]


@st.composite
def trials(draw, number: int, known: tuple[Change, ...], survey: Survey):
    """A trial whose readings have their side's sign and a place on this system."""
    static = st.floats(0.0, range_of("static").high)
    places = every_place(survey)
    sides = {"return": -1.0, "supply": 1.0}
    instrument = st.sampled_from([None, "gauge"])
    readings = []
    for index, at in enumerate(draw(st.lists(st.sampled_from(sorted(sides)), max_size=3))):
        value = sides[at] * draw(static)
        readings.append(
            Reading(
                f"reading-{number}-{index}",
                at,
                "static",
                *draw(st.tuples(remarks, st.sampled_from(["inwc", "pa"])) | exactly(value)),
                value,
                draw(instrument),
                draw(maybe(st.just("2026-03-02"))),
                corrects=f"reading-{number}-{index - 1}" if index and draw(st.booleans()) else None,
            )
        )
    condition = draw(
        st.fixed_dictionaries(
            {},
            optional={
                "call": st.sampled_from(CALLS),
                "coil": st.sampled_from(["wet", "dry"]),
                **{
                    f"filter:{one.id}": st.sampled_from(["in", "out"])
                    for one in survey.filters or ()
                },
                **{
                    f"bypass:{one.id}": st.sampled_from(["open", "shut"])
                    for one in survey.bypasses or ()
                },
            },
        )
    )
    for index, (quantity, at) in enumerate(draw(st.lists(st.sampled_from(places), max_size=4))):
        wanted = range_of("static" if quantity in ("static", "drop") else _limits(quantity, at))
        value = draw(st.floats(wanted.low, wanted.high))
        if at.startswith("return:"):
            value = -value
        if condition.get(at) == "out":
            continue
        if quantity == "temperature-rise":
            condition["call"] = "heating"
        unit = draw(st.sampled_from(UNITS_BY_KIND[KINDS[quantity]]))
        readings.append(
            Reading(f"other-{number}-{index}", at, quantity, draw(remarks), unit, value)
        )
    ids = [change.id for change in known]
    in_force = draw(st.permutations(ids)) if draw(st.booleans()) else []
    return Trial(f"trial-{number}", tuple(in_force), condition, tuple(readings))


@st.composite
def jobs(draw):
    """A whole job."""
    unit, coils = draw(unit_and_coils())
    filters, returns = draw(filters_and_returns())
    place = st.builds(
        Place,
        maybe(facts("altitude")),
        maybe(words),
        maybe(st.lists(st.sampled_from(VENTING), max_size=2).map(tuple)),
        maybe(st.integers(1850, 2026)),
    )
    air, dew = draw(duct_airs())
    survey = Survey(
        unit,
        filters,
        coils,
        returns,
        draw(maybe(supplies())),
        replace(draw(place), duct_air=air, duct_dew_point=dew),
        draw(maybe(bypasses)),
        draw(maybe(rooms)),
        draw(leakages()),
        draw(uses()),
    )
    known = draw(changes(survey))
    goals = maybe(facts("airflow_per_capacity"))
    return Job(
        id=draw(words),
        survey=survey,
        changes=known,
        trials=tuple(draw(trials(n, known, survey)) for n in range(draw(st.integers(0, 2)))),
        instruments=(Instrument("gauge", draw(words), draw(maybe(st.floats(0.0, 0.1))), None),),
        targets=Targets(draw(words), draw(goals), draw(goals), draw(wishes(survey))),
        name=draw(text),
        system=draw(maybe(words)),
        complaint=draw(maybe(text)),
        complaint_room=draw(maybe(text)),
    )
