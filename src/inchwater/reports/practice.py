"""A practice round for whoever shows it: its terms, its goal, what was surveyed, and its score."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from inchwater import criteria, units
from inchwater.errors import joined
from inchwater.findings.labels import coil_label, duct_size, face_size, filter_label
from inchwater.planning import money, usual_prices
from inchwater.quantity import Said, said
from inchwater.rehearsal.practice import Act, Round, Terms, begin
from inchwater.rehearsal.practice_figures import practice
from inchwater.rehearsal.practice_house import practice_house
from inchwater.rehearsal.practice_score import Score, Verdict
from inchwater.rehearsal.state import State
from inchwater.reports.practice_words import Line, change_said, figure_said, spot_said, state_said
from inchwater.reports.tables import Row, Table
from inchwater.survey import Branch, Duct, Return, Survey
from inchwater.units import System

INVENTED = "An invented house, for training: nothing in it stands anywhere."
_UNITS = {"air-handler": "air handler", "furnace": "furnace", "packaged": "packaged unit"}
_MOTORS = {
    "psc": "PSC motor",
    "constant-torque": "constant-torque motor",
    "constant-airflow": "constant-airflow motor",
}
_VERDICTS: dict[Verdict, str] = {
    "met-cheapest": "The goal is met, with the cheapest fix.",
    "met": "The goal is met. It could have cost less.",
    "missed": "The goal is not met, and it could have been.",
    "missed-out-of-reach": "The goal is not met: no set of up to {most} changes reaches it. "
    "It would have been right to say so.",
    "cannot-right": "Rightly said: no set of up to {most} changes reaches the goal.",
    "cannot-wrong": "It could have been reached with these changes.",
}


def practice_round(seed: int, acts: tuple[Act, ...] = ()) -> Round:
    """A round with the prices that ship, after these acts; it raises as :meth:`Round.after`."""
    return begin(seed, terms(seed), acts)


def terms(seed: int) -> Terms:
    """What is wanted of a practice house and what things cost: from criteria and price data."""
    job = practice_house(seed).job
    wanted = criteria.goal(job.survey, job.targets)
    prices = usual_prices()
    return Terms(
        low=wanted.low,
        high=wanted.high,
        prices={one.id: prices.of_changes((one,), job.survey) for one in job.changes},
        minutes=prices.minutes,
        per_minute=prices.per_minute,
        visit=prices.visit,
    )


def goal_said(now: Round) -> Said:
    """What is wanted, in one sentence."""
    return said(
        "Wanted in the cooling call: {low:bare} to {high} through the blower, and no more than "
        "{plate} of external static, as the plate says.",
        low=(now.terms.low, "airflow"),
        high=(now.terms.high, "airflow"),
        plate=(now.plate, "pressure"),
    )


def rules_said(now: Round) -> str:
    """How the round is scored, in three sentences."""
    return (
        f"At most {practice('changes most'):.0f} of the ten changes stand at once; what is paid "
        "stays paid. At the end your changes and minutes "
        f"({money(60.0 * now.terms.per_minute)} an hour) stand beside the cheapest fix; a miss "
        "costs one more visit and that fix. If no set of changes can reach the goal, say so."
    )


def spent_said(now: Round) -> str:
    """What the round took so far: ``$450 for changes, 23 min of measuring``."""
    return f"{money(now.money)} for changes, {now.minutes:g} min of measuring"


# --- what was surveyed ---------------------------------------------------------------------------


def survey_lines(survey: Survey) -> tuple[Line, ...]:
    """What somebody wrote down of the house, part by part in the air's order."""
    return tuple(_lines(survey))


def _lines(survey: Survey) -> Iterator[Line]:
    unit = survey.unit
    place = f", {survey.place.space}" if survey.place.space else ""
    yield Line(
        "Unit",
        f"{unit.capacity.value:g}-{unit.capacity.unit} {_UNITS[unit.kind]}, "
        f"{_MOTORS.get(unit.motor or '', 'motor not seen')}{place}",
    )
    calls = joined([f"{call} {tap}" for call, tap in unit.calls.items()], "and")
    yield Line("Taps", f"{calls}; wheel {unit.wheel or 'not seen'}")
    for back in survey.returns or ():
        yield Line(f"Return {back.id}", _return(back))
    for one in survey.filters or ():
        at = "in its grille" if one.at == "grille" else "at the unit"
        label = filter_label(one, 1).removeprefix("Filter, ")
        yield Line(f"Filter {one.id}", f"{label}, {at}, {one.condition or 'not looked at'}")
    for coil in survey.coils or ():
        yield Line(coil_label(coil.id, survey), coil.condition or "not looked at")
    for leak in survey.leakage:
        yield Line(f"Joints, {leak.side} side", leak.sealing or "not looked at")
    for way in survey.bypasses or ():
        yield Line("Bypass", way.kind or "seen")
    if survey.supply is not None:
        for branch, _ in survey.supply.walk():
            name = f"Trunk {branch.id}" if branch.is_trunk else f"Run {branch.id}"
            room = f"{branch.room}: " if branch.room else ""
            yield Line(name, f"{room}{_branch(branch)}")


def _return(back: Return) -> str:
    grille = f"grille {face_size(back.grille)}" if back.grille else ""
    kind = "" if back.kind == "ducted" else back.kind or ""
    return ", ".join(word for word in (kind, grille, _duct(back.duct)) if word)


def _branch(branch: Branch) -> str:
    register = f"register {face_size(branch.duct.register)}" if branch.duct.register else ""
    return ", ".join(word for word in (_duct(branch.duct), register) if word)


def _duct(duct: Duct | None) -> str:
    if duct is None:
        return ""
    length = f"{duct.length.value:g} {duct.length.unit}" if duct.length else ""
    hung = duct.slack or ("hanging not looked at" if duct.material == "flex" else "")
    counts = Counter(duct.fittings or ())
    fittings = ", ".join(key if n == 1 else f"{n} × {key}" for key, n in counts.items())
    size = " ".join(word for word in (duct_size(duct), duct.material or "") if word)
    return ", ".join(word for word in (size, length, hung, fittings) if word)


def blower_table(survey: Survey, system: System) -> Table:
    """The unit's printed table: airflow by external static and tap."""
    table = survey.unit.table
    assert table is not None  # every practice house has one
    taps = tuple(dict.fromkeys(row.tap for row in table.rows))
    cells = {(row.tap, row.tesp): row.airflow for row in table.rows}
    rows = tuple(
        Row(
            f"cell-{number}",
            units.shown(tesp, "pressure", system)[1],
            tuple(_cell(cells.get((tap, tesp)), system) for tap in taps),
        )
        for number, tesp in enumerate(sorted({row.tesp for row in table.rows}))
    )
    flow, static = (
        units.unit(units.SHOWN[kind][system][0]).label for kind in ("airflow", "pressure")
    )
    held = joined(sorted(table.includes), "and") if table.includes else "nothing"
    return Table(
        f"Blower table, {flow} by {static} and tap; its zero holds {held.replace('-', ' ')}",
        ("Static", *(f"Tap {tap}" for tap in taps)),
        rows,
    )


def _cell(airflow: float | None, system: System) -> str:
    return "–" if airflow is None else units.shown(airflow, "airflow", system)[1]


# --- what was read, and the score ----------------------------------------------------------------


def readings_table(now: Round, system: System) -> Table:
    """Everything that was written down, in its order."""
    return Table(
        "What you wrote down",
        ("Reading", "Figure", "Looks"),
        tuple(
            Row(
                f"taken-{one.number}",
                f"{spot_said(one.display.reading.quantity, one.display.reading.at, now.survey)}, "
                f"{state_said(one)}",
                (figure_said(one, system), f"{one.looks}"),
            )
            for one in now.taken
        ),
    )


def verdict_said(score: Score) -> str:
    """How the round ended, in a sentence or two."""
    return _VERDICTS[score.verdict].format(most=f"{practice('changes most'):.0f}")


def met_said(score: Score) -> Said:
    """Which part of the goal is truly met at the end."""
    return said(
        "It ends with {airflow}, {flow_met} the window, and {tesp} of static, {plate_met} the "
        "plate.",
        airflow=(score.left.airflow, "airflow"),
        flow_met="within" if score.airflow_met else "outside",
        tesp=(score.left.tesp, "pressure"),
        plate_met="within" if score.plate_met else "above",
    )


def score_lines(score: Score, now: Round) -> tuple[Line, ...]:
    """The money of the round, line by line."""
    lines = [
        Line("Changes", money(score.money)),
        Line(f"Measuring, {now.minutes:g} min", money(score.time)),
    ]
    if score.miss:
        what = "One more visit" if score.cheapest is None else "One more visit, and the fix"
        lines.append(Line(what, money(score.miss)))
    lines.append(Line("In all", money(score.total)))
    lines.append(Line("The cheapest fix", _fix_price(score)))
    return (*lines, Line("Over it", money(score.over)))


def _fix_price(score: Score) -> str:
    return "there is none" if score.cheapest is None else money(score.cheapest.price)


def cheapest_said(score: Score, now: Round) -> str:
    """What the cheapest fix is."""
    if score.cheapest is None:
        return "No set of these changes reaches the goal."
    if not score.cheapest.changes:
        return "The cheapest fix: nothing. The goal was met as found."
    names = [
        f"{id_}, {change_said(now.change(id_), now.house.job.survey)}"
        for id_ in score.cheapest.changes
    ]
    return f"The cheapest fix, {money(score.cheapest.price)}: {'; '.join(names)}."


def truth_table(score: Score, now: Round, system: System) -> Table:
    """What truly was, is, and would be after the cheapest fix, in the cooling call."""
    columns: list[tuple[str, State]] = [("Found", score.found), ("Left", score.left)]
    if score.cheapest is not None:
        columns.append(("Cheapest", score.cheapest.state))
    tons = now.house.job.survey.unit.capacity.si

    def row(id_: str, head: str, kind: str, values: list[float]) -> Row:
        label = units.unit(units.SHOWN[kind][system][0]).label
        cells = tuple(units.shown(value, kind, system)[1] for value in values)
        return Row(id_, f"{head}, {label}", cells)

    states = [one for _, one in columns]
    return Table(
        "What truly is, in the cooling call",
        ("What", *(name for name, _ in columns)),
        (
            row("true-airflow", "Through the blower", "airflow", [s.airflow for s in states]),
            row("true-delivered", "To the rooms", "airflow", [s.delivered for s in states]),
            row(
                "true-per-ton",
                "Per capacity",
                "airflow_per_capacity",
                [s.airflow / tons for s in states],
            ),
            row("true-tesp", "External static", "pressure", [s.tesp for s in states]),
        ),
    )
