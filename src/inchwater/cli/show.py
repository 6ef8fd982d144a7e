"""An answer for people at a prompt: the sentence first, then small tables, in plain words.

The tables are those of the pages (``reports.tables``); colour carries no meaning, so that nothing
is lost on paper, in a pipe or with NO_COLOR.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from inchwater import units
from inchwater.quantity import Estimate
from inchwater.units import System

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rich.console import Console

    from inchwater.answer import Answer, WhatIf
    from inchwater.criteria import Judgement
    from inchwater.findings import Caution
    from inchwater.planning import NextAct, ReadingValue
    from inchwater.reports import Table


def short_answer(out: Console, answer: Answer, system: System) -> None:
    """What three numbers give: flows, statics, why the range is what it is, the next act."""
    say_first(out, answer.sentence.text(system))
    _figures(out, answer, system)
    _alternatives(out, answer, system)
    say_more(out, answer.basis.text(system))
    _doubts(out, answer, system)
    _not_used(out, answer, system)
    say_cautions(out, answer.cautions)
    _next(out, answer, system)


def findings(out: Console, answer: Answer, system: System) -> None:
    """Everything that an answer holds, in the order in which a technician asks."""
    from inchwater.reports import budget_table, path_table, runs_table

    say_first(out, answer.sentence.text(system))
    for said in answer.says:
        say_more(out, said.text(system))
    _figures(out, answer, system)
    _alternatives(out, answer, system)
    say_more(out, answer.basis.text(system))
    if answer.path:
        print_table(out, path_table(answer, system))
    if answer.budget:
        print_table(out, budget_table(answer, system))
    _worth(out, answer, system)
    say_more(out, answer.limit.text.text(system))
    if answer.runs:
        print_table(out, runs_table(answer.runs, system))
    _criteria(out, answer.criteria, system)
    _doubts(out, answer, system)
    _not_used(out, answer, system)
    if answer.outside:
        say_more(out, "Parts outside what is known of them:")
        for part in answer.outside:
            say_more(out, f"– {'; '.join(part.labels)}: {part.text}", below=False)
        out.print()
    if answer.unseen:
        say_more(out, "These readings cannot show:")
        for one in answer.unseen:
            say_more(out, f"– {one}", below=False)
        out.print()
    say_cautions(out, answer.cautions)
    _next(out, answer, system)


def tree(out: Console, answer: Answer, system: System) -> None:
    """Every part with its drop and its air, set in from the unit outward, as the air meets them."""
    from inchwater.reports import tree_table

    table = tree_table(answer, system)
    rows = [
        ("  " * part.depth + row.head, *row.cells)
        for part, row in zip(answer.tree, table.rows, strict=True)
    ]
    print_rows(out, table.caption, table.columns, rows)


def forecast(out: Console, answer: Answer, after: WhatIf, system: System) -> None:
    """What a change would do: now, then, and the difference of each flow."""
    from inchwater.reports import runs_table

    say_first(out, after.sentence.text(system))
    rows = [
        (name, now, then, change)
        for name, now, then, change in (
            ("Through the blower", answer.airflow, after.airflow, after.airflow_change),
            ("To the rooms", answer.delivered, after.delivered, after.delivered_change),
            ("TESP", answer.tesp, after.tesp, after.tesp_change),
        )
    ]
    print_rows(
        out,
        "Now and after",
        ("", "Now", "After", "9 in 10", "Change", "9 in 10", "Unit"),
        [
            (
                name,
                now.text(system),
                then.text(system),
                then.range_text(system),
                change.text(system),
                change.range_text(system),
                then.label(system),
            )
            for name, now, then, change in rows
        ],
    )
    if after.runs:
        print_table(out, runs_table(answer.runs, system, after.runs))
    _criteria(out, after.criteria, system)
    say_more(out, after.standing.said().text(system))
    for note in after.notes:
        say_more(out, note)
    say_cautions(out, after.cautions)


def next_readings(
    out: Console,
    ranked: Sequence[ReadingValue],
    system: System,
    before: NextAct | None = None,
) -> None:
    """What to read next, the most useful first, and what each would settle.

    ``before`` is what comes before any of them: a fact that is missing, or a doubt.
    """
    from inchwater.reports import next_readings_table

    first = ranked[0]
    minutes = f", about {first.minutes:.0f} min" if first.minutes else ""
    say_first(out, f"{first.title}{minutes}.")
    if first.candidate is not None:
        say_more(out, first.candidate.how)
    print_table(out, next_readings_table(ranked))
    for one in ranked:
        if one.pays:
            say_more(out, f"{one.title}. {one.settles.text(system)}")
    if before is not None:
        say_more(out, f"Before any of them: {before.title}. {before.text.text(system)}")
    say_cautions(out, first.cautions)


def say_first(out: Console, text: str) -> None:
    """The sentence that an answer begins with."""
    from rich.text import Text

    out.print()
    out.print(Text(text, style="bold"))
    out.print()


def say_more(out: Console, text: str, *, below: bool = True) -> None:
    """A paragraph; nothing where there is no text."""
    if not text:
        return
    out.print(text)
    if below:
        out.print()


def _figures(out: Console, answer: Answer, system: System) -> None:
    shown: Sequence[tuple[str, Estimate]] = (
        ("Airflow through the blower", answer.airflow),
        ("Air delivered to the rooms", answer.delivered),
        ("Airflow per capacity", answer.airflow_per_ton),
        ("TESP", answer.tesp),
        ("Return static", answer.return_static),
        ("Supply static", answer.supply_static),
    )
    rows = [
        (name, one.text(system), one.range_text(system), one.label(system)) for name, one in shown
    ]
    _, text, label = units.shown(answer.plate, "pressure", system)
    usual = answer.plate_how == "typical"
    rows.append(
        (
            "Most that a usual plate allows" if usual else "Most that the plate allows",
            text,
            "",
            label,
        )
    )
    print_rows(out, "", ("", "Middle", "9 in 10", "Unit"), rows)


def _alternatives(out: Console, answer: Answer, system: System) -> None:
    if not answer.alternatives:
        return
    print_rows(
        out,
        "What the table's zero holds is not known; the answer for each possibility",
        ("If", "Airflow", "9 in 10", "Unit"),
        [
            (
                one.label,
                one.airflow.text(system),
                one.airflow.range_text(system),
                one.airflow.label(system),
            )
            for one in answer.alternatives
        ],
    )


def _worth(out: Console, answer: Answer, system: System) -> None:
    if not answer.worth:
        return
    print_rows(
        out,
        "What each would give at handbook resistance",
        ("Part", "Gain", "9 in 10", "Unit", ""),
        [
            (
                one.label,
                one.gain.text(system),
                one.gain.range_text(system),
                one.gain.label(system),
                one.note,
            )
            for one in answer.worth
        ],
    )


def _criteria(out: Console, criteria: Iterable[Judgement], system: System) -> None:
    judged = tuple(criteria)
    if not judged:
        return
    # A source is longer than a column, so the table has its number and a list below has its words.
    sources = list(dict.fromkeys(one.source for one in judged))
    print_rows(
        out,
        "Criteria",
        ("", "Value", "Wanted", "", "Odds", "Source"),
        [
            (
                one.label,
                "–" if one.value is None else f"{one.value.text(system)} {one.value.label(system)}",
                one.bounds(system),
                one.verdict,
                "–" if one.odds is None else f"{100 * one.odds:.0f} %",
                str(sources.index(one.source) + 1),
            )
            for one in judged
        ],
    )
    for number, source in enumerate(sources, 1):
        say_more(out, f"{number}  {source}", below=False)
    out.print()


def _doubts(out: Console, answer: Answer, system: System) -> None:
    for doubt in answer.doubts:
        say_more(out, f"Doubt: {doubt.text.text(system)} {doubt.recheck}".strip())


def _not_used(out: Console, answer: Answer, system: System) -> None:
    for one in answer.not_used:
        say_more(out, one.text.text(system))


def say_cautions(out: Console, cautions: Iterable[Caution]) -> None:
    """Each caution as a paragraph."""
    for caution in cautions:
        say_more(out, f"Caution, {caution.title}: {caution.text}")


def _next(out: Console, answer: Answer, system: System) -> None:
    say_more(out, f"Next: {answer.next.title}. {answer.next.text.text(system)}")


def print_table(out: Console, table: Table) -> None:
    """A table of the reports."""
    print_rows(out, table.caption, table.columns, [(row.head, *row.cells) for row in table.rows])


def print_rows(
    out: Console, caption: str, columns: Sequence[str], rows: Iterable[Sequence[str]]
) -> None:
    """A small table: its first column and those of words at the left, numbers at the right."""
    from rich import box
    from rich.table import Table as Grid

    grid = Grid(
        title=caption or None,
        title_justify="left",
        title_style="",
        box=box.SIMPLE_HEAD,
        pad_edge=False,
    )
    for number, name in enumerate(columns):
        words = number == 0 or name in ("Source", "Unit", "Where", "Wanted", "")
        grid.add_column(name, justify="left" if words else "right", overflow="fold")
    for row in rows:
        grid.add_row(*row)
    out.print(grid)
