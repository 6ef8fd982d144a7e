"""A practice round for people at a prompt, and as the one document of ``--json``."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from inchwater.cli.rehearse_words import ASKED, VERBS
from inchwater.cli.show import print_rows, print_table
from inchwater.units import System

if TYPE_CHECKING:
    from rich.console import Console

    from inchwater.findings import Caution
    from inchwater.rehearsal.practice import Round
    from inchwater.rehearsal.practice_score import Score


def opening(out: Console, now: Round, system: System) -> None:
    """What house it is, what is wanted, and how it is scored."""
    from inchwater.reports import practice

    out.print(f"Practice house {now.seed}. {practice.INVENTED}\n")
    out.print(practice.goal_said(now).text(system))
    out.print(practice.rules_said(now) + "\n")


def survey(out: Console, now: Round) -> None:
    """What was written down, part by part."""
    from inchwater.reports.practice import survey_lines

    lines = survey_lines(now.survey)
    print_rows(out, "What was surveyed", ("Part", ""), [(line.part, line.words) for line in lines])


def places(out: Console, now: Round) -> None:
    """Where something can be read, as it is typed, with its minutes."""
    from inchwater.reports.practice_words import spot_said

    print_rows(
        out,
        "What can be read now",
        ("Type", "", "min"),
        [
            (typed(spot.quantity, spot.at), spot_said(spot.quantity, spot.at, now.survey), minutes)
            for spot in now.spots
            for minutes in [f"{spot.minutes:g}"]
        ],
    )


def typed(quantity: str, at: str) -> str:
    """How a place is said at the prompt."""
    part = at.partition(":")[2]
    if quantity == "static":
        return f"read {at}"
    if quantity == "drop":
        return f"drop {part}"
    if part:
        return f"hood {part}"
    words = {"airflow": "plate", "power": "watts", "voltage": "volts", "speed": "rpm"}
    return words.get(quantity, "rise")


def changes(out: Console, now: Round) -> None:
    """The ten changes with their prices, and which of them stand."""
    from inchwater.planning import money
    from inchwater.reports.practice_words import change_said

    print_rows(
        out,
        "The ten changes",
        ("", "", "Price", "Stands"),
        [
            (
                one.id,
                change_said(one, now.house.job.survey),
                money(now.terms.prices[one.id]),
                "yes" if one.id in now.in_force else "",
            )
            for one in now.house.job.changes
        ],
    )


def verbs(out: Console) -> None:
    """Everything that can be typed."""
    print_rows(out, "", ("Type", ""), [*VERBS.items(), *ASKED.items()])


def state(out: Console, now: Round) -> None:
    """Where the round stands: state, money, minutes."""
    from inchwater.reports.practice import spent_said
    from inchwater.reports.practice_words import state_said

    said = state_said(now)
    out.print(f"{said[0].upper()}{said[1:]}. So far {spent_said(now)}.")


def happened(out: Console, before: Round, now: Round, system: System) -> None:
    """What the last act brought."""
    from inchwater.planning import money
    from inchwater.reports.practice_words import change_said, figure_said, spot_said

    act = now.acts[-1]
    last = now.current
    if last is not None:
        reading = last.display.reading
        still = "stands still" if last.display.still(last.looks) else "still moving"
        name = spot_said(reading.quantity, reading.at, now.survey)
        minutes = now.minutes - before.minutes
        out.print(f"{name}: {figure_said(last, system)}, {still}. {minutes:g} min.")
        return
    if act.do in ("change", "take-back"):
        name = change_said(now.change(act.at), now.house.job.survey)
        paid = money(now.money - before.money)
        end = f"Made for {paid}." if act.do == "change" else "Taken back; what was paid stays paid."
        out.print(f"{act.at}, {name}. {end}")
    if not now.ended:
        state(out, now)


def readings(out: Console, now: Round, system: System) -> None:
    """What was written down."""
    from inchwater.reports.practice import readings_table

    print_table(out, readings_table(now, system))


def tool(out: Console, now: Round, system: System) -> None:
    """What the tool makes of the readings: its answer, odds by price, what it would read next."""
    from inchwater.planning import money
    from inchwater.reports.practice_help import practice_help

    found = practice_help(now)
    out.print(found.sentence.text(system))
    label = found.tesp.label(system)
    out.print(f"External static {found.tesp.range_text(system)} {label}, 9 in 10.")
    print_rows(
        out,
        "Sets of changes by price, and their odds of meeting the goal",
        ("Changes", "Price", "Odds"),
        [(one.label, money(one.price), f"{100 * one.odds:.0f} %") for one in found.choices],
    )
    minutes = f", about {found.next.minutes:.0f} min" if found.next.minutes else ""
    out.print(f"What it would read next: {found.next.title}{minutes}.")


def cautions(out: Console, found: Iterable[Caution], told: set[str]) -> None:
    """What can hurt where the act is, each in full the first time."""
    for one in found:
        if one.id not in told:
            told.add(one.id)
            out.print(f"Caution, {one.title}: {one.text}")


def ending(out: Console, now: Round, system: System) -> None:
    """The score, what truly was, and what was hidden."""
    from inchwater.rehearsal.practice_hidden import hidden
    from inchwater.rehearsal.practice_score import score
    from inchwater.reports import practice
    from inchwater.reports.practice_words import hidden_said

    result = score(now)
    out.print(f"\n{practice.verdict_said(result)} {practice.met_said(result).text(system)}")
    for line in practice.score_lines(result, now):
        out.print(f"  {line.part:<30}{line.words:>12}")
    out.print(practice.cheapest_said(result, now))
    print_table(out, practice.truth_table(result, now, system))
    out.print("What the survey did not say:")
    for one in hidden_said(hidden(now.seed), now.house.job.survey):
        out.print(f"– {one.text(system)}")


def document(now: Round, system: System) -> dict[str, Any]:
    """The round as plain data; the truth is in it only when the round is over."""
    from inchwater.rehearsal.practice_file import round_to_dict
    from inchwater.rehearsal.practice_score import score
    from inchwater.reports.practice import INVENTED, goal_said
    from inchwater.reports.practice_words import change_said, spot_said

    return {
        "note": INVENTED,
        "round": round_to_dict(now.seed, now.acts),
        "goal": {
            "sentence": goal_said(now).text(system),
            "airflow_low_m3s": now.terms.low,
            "airflow_high_m3s": now.terms.high,
            "tesp_high_pa": now.plate,
        },
        "money_usd": now.money,
        "minutes": now.minutes,
        "condition": dict(now.condition),
        "in_force": list(now.in_force),
        "readings": [
            {
                "id": f"rd{one.number}",
                "quantity": one.display.reading.quantity,
                "at": one.display.reading.at,
                "typed": one.display.shown(one.looks),
                "unit": one.display.reading.unit,
                "looks": one.looks,
                "still": one.display.still(one.looks),
                "minutes": one.minutes,
            }
            for one in now.taken
        ],
        "places": [
            {
                "quantity": spot.quantity,
                "at": spot.at,
                "label": spot_said(spot.quantity, spot.at, now.survey),
                "type": typed(spot.quantity, spot.at),
                "minutes": spot.minutes,
            }
            for spot in now.spots
        ],
        "changes": [
            {
                "id": one.id,
                "label": change_said(one, now.house.job.survey),
                "price_usd": now.terms.prices[one.id],
            }
            for one in now.house.job.changes
        ],
        "score": _score(now, score(now), system) if now.ended else None,
    }


def _score(now: Round, result: Score, system: System) -> dict[str, Any]:
    from inchwater.rehearsal.practice_hidden import hidden
    from inchwater.reports.practice import verdict_said
    from inchwater.reports.practice_words import hidden_said

    fix = result.cheapest
    return {
        "verdict": result.verdict,
        "sentence": verdict_said(result),
        "met": result.met,
        "airflow_m3s": result.left.airflow,
        "delivered_m3s": result.left.delivered,
        "tesp_pa": result.left.tesp,
        "changes_usd": result.money,
        "measuring_usd": result.time,
        "miss_usd": result.miss,
        "total_usd": result.total,
        "cheapest": None if fix is None else {"changes": list(fix.changes), "price_usd": fix.price},
        "over_usd": result.over,
        "hidden": [one.text(system) for one in hidden_said(hidden(now.seed), now.house.job.survey)],
    }
