"""Readings that cannot be right or contradict each other, told as what to re-check.

Thresholds are in ``data/consistency.csv``.  A doubt never changes a number: the reading stays as
it was typed, and the technician decides.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from inchwater import units
from inchwater.calibration.priors import middle, spread
from inchwater.findings.described import described_doubts
from inchwater.findings.places import place_said
from inchwater.findings.slips import Check
from inchwater.findings.slips_said import slip_doubts
from inchwater.findings.steady import steady_doubts
from inchwater.findings.types import Doubt, told
from inchwater.findings.watts import tap_in_use, watts_doubts
from inchwater.parts.blowers import generic_curve
from inchwater.parts.coefficients import table
from inchwater.parts.filters import filter_law
from inchwater.quantity import Estimate
from inchwater.survey.job import Job, Survey
from inchwater.survey.trials import Reading, Trial

if TYPE_CHECKING:
    from inchwater.calibration import Posterior
    from inchwater.forecast import Prediction


# Doubts that a slip which is told by name explains.
_ECHOES = ("filter-gains", "coil-gains", "contradiction")


def threshold(key: str) -> float:
    """One figure of ``data/consistency.csv``, in SI."""
    return table("consistency", "inchwater.findings.data")[key].value


def doubts(
    job: Job, as_found: Prediction, posterior: Posterior, checked: Check | None = None
) -> tuple[Doubt, ...]:
    """Every doubt about the job's readings and table, the plainest first.

    Parameters
    ----------
    job : Job
        Survey, trials and changes.
    as_found : Prediction
        The calibrated system without changes.
    posterior : Posterior
        Its residuals say how far each reading lies from what the system can do.
    checked : Check, optional
        What :func:`slips.check` found; a reading that is far off is told only where it is alarmed.
    """
    found: list[Doubt] = []
    for trial in job.trials:
        survey = job.survey_after(trial.after)
        statics = _statics(trial)
        found += plain_doubts(trial)
        found += _filter_over_return(statics, survey, trial, as_found)
        found += watts_doubts(trial, survey, _tesp(statics), threshold)
    found += steady_doubts(job)
    if checked is not None and checked.named:
        # What the slip explains is not told twice.
        found = [d for d in found if d.id.partition(":")[0] not in _ECHOES]
    found += _outside_table(job.survey, as_found)
    found += _lost_air(as_found)
    found += _table_against_ducts(as_found)
    found += _table_for_capacity(job)
    found += described_doubts(job)
    already = {doubt.id for doubt in found}
    if checked is not None:
        found += _untold(tuple(slip_doubts(job, checked)), already)
    if checked is None or (checked.alarm and not checked.named):
        found += _surprises(posterior, already)
    return tuple({doubt.id: doubt for doubt in found}.values())


def plain_doubts(trial: Trial) -> tuple[Doubt, ...]:
    """What a trial's statics show by themselves to be wrong, whatever the system is."""
    statics = _statics(trial)
    return (*_signs(statics), *_magnitudes(statics), *_order(statics))


def _untold(slips: tuple[Doubt, ...], already: set[str]) -> tuple[Doubt, ...]:
    """The slips that no plain doubt has told: tubes by sign, pascals by size, a tap by watts."""
    kinds = {id_.partition(":")[0] for id_ in already}
    told_as = {
        "slip:tubes-swapped": "tubes-swapped",
        "slip:other-unit": "too-much",
        "slip:tap-in-trial": "watts",
        "slip:tap-of-call": "watts",
    }
    if any(told_as.get(one.id) in kinds for one in slips):
        # Nor is the one that would be nearly as likely.
        return tuple(one for one in slips if not one.id.startswith("slip"))
    return slips


def _statics(trial: Trial) -> dict[str, Reading]:
    return {r.at: r for r in trial.in_force if r.quantity == "static"}


def _tesp(statics: dict[str, Reading]) -> float | None:
    """Supply less return, as read: the table's own pressure to within its boundary. [Pa]"""
    supply = statics.get("before-coil") or statics.get("supply")
    back = statics.get("return")
    return None if supply is None or back is None else supply.value - back.value


def _signs(statics: dict[str, Reading]) -> Iterator[Doubt]:
    """The return side sucks, the supply side pushes."""
    back, supply = statics.get("return"), statics.get("supply")
    if back and supply and back.value > 0.0 > supply.value:
        yield Doubt(
            told("The return reads above the room and the supply below it: the tubes are swapped."),
            "Swap the tubes at the manometer, set it to zero, and read both again.",
            "tubes-swapped",
            "return",
        )
    elif back and supply and back.value * supply.value > 0.0:
        side = "above" if back.value > 0.0 else "below"
        yield Doubt(
            told(
                f"Both statics read {side} the room's pressure; a running blower pulls the return "
                "below it and pushes the supply above it."
            ),
            "Check which test point each tube sits in, and which port of the manometer is open.",
            "same-sign",
            "return",
        )


def _magnitudes(statics: dict[str, Reading]) -> Iterator[Doubt]:
    """Pa typed as inches, inches typed as Pa, a blower that does not run."""
    for at, reading in statics.items():
        most = threshold("static-most")
        if abs(reading.value) > most:
            in_inches = units.from_si(abs(reading.value), "inwc")
            meant = units.to_si(in_inches, "pa")
            text = "{v} {place} is more than a blower of a house can make."
            if reading.unit == "inwc" and meant < most:
                text += " If the gauge showed Pa, it is {m}."
            yield Doubt(
                told(
                    text,
                    v=(abs(reading.value), "pressure"),
                    m=(meant, "pressure"),
                    place=place_said(at),
                ),
                "Look at the unit on the gauge's display and read again.",
                f"too-much:{at}",
                at,
            )
        elif abs(reading.value) > threshold("static-usual"):
            yield Doubt(
                told(
                    "{v} was read {place}; ducts of houses seldom show more than {u}.",
                    v=(abs(reading.value), "pressure"),
                    u=(threshold("static-usual"), "pressure"),
                    place=place_said(at),
                ),
                "Read it again at the same place with the blower steady, and look at the unit on "
                "the gauge's display.",
                f"unusual:{at}",
                at,
            )
    tesp = _tesp(statics)
    if tesp is not None and 0.0 <= tesp < threshold("tesp-least"):
        yield Doubt(
            told(
                "From return to supply there is hardly any pressure, {p}: a blower that runs "
                "against ducts shows more.",
                p=(tesp, "pressure"),
            ),
            "See that the blower runs at the call that was meant, its door is on, the gauge is in "
            "the unit that was typed, and the tubes are open.",
            "hardly-any",
            "supply",
        )


def _order(statics: dict[str, Reading]) -> Iterator[Doubt]:
    """Pressure falls along the air's way through a filter and through a coil."""
    slack = threshold("repeatability")
    before, after = statics.get("before-filter"), statics.get("return")
    if before and after and abs(before.value) > abs(after.value) + slack:
        yield Doubt(
            told(
                "Before the filter the suction is {b}, after it {a}: air does not gain pressure in "
                "a filter.",
                b=(abs(before.value), "pressure"),
                a=(abs(after.value), "pressure"),
            ),
            "The two may be typed the wrong way round, or both test points are on one side of the "
            "filter. Read both again.",
            "filter-gains",
            "before-filter",
        )
    before, after = statics.get("before-coil"), statics.get("supply")
    if before and after and after.value > before.value + slack:
        yield Doubt(
            told(
                "After the coil there is {a}, before it {b}: air does not gain pressure in a coil.",
                b=(before.value, "pressure"),
                a=(after.value, "pressure"),
            ),
            "The two may be typed the wrong way round. Read both again.",
            "coil-gains",
            "before-coil",
        )


def _filter_over_return(
    statics: dict[str, Reading], survey: Survey, trial: Trial, as_found: Prediction
) -> Iterator[Doubt]:
    """A filter alone cannot take more than all of the return side."""
    back = statics.get("return")
    if back is None or back.value >= 0.0:
        return
    airflow = float(np.median(as_found.solution.airflow))
    for one in survey.filters or ():
        if one.width is None or one.height is None or one.grade is None:
            continue
        if trial.condition.get(f"filter:{one.id}") == "out":
            continue
        beside = sum(f.at == "grille" for f in survey.filters or ()) if one.at == "grille" else 1
        law, _ = filter_law(one.width.si, one.height.si, one.grade, one.count)
        drop = float(law.drop(airflow / beside))
        if drop > threshold("filter-over") * abs(back.value):
            yield Doubt(
                told(
                    "This filter, clean, takes about {f} at this airflow, yet the whole return "
                    "side reads {r}.",
                    f=(drop, "pressure"),
                    r=(abs(back.value), "pressure"),
                ),
                "See on which side of the filter the return test point is, whether air passes "
                "round the filter, and its size and class.",
                "filter-over-return",
                "return",
            )
            return


def _outside_table(survey: Survey, as_found: Prediction) -> Iterator[Doubt]:
    if survey.unit.table is None:
        return
    beyond = float(np.median(as_found.solution.beyond))
    if beyond > 0.0:
        yield Doubt(
            told(
                "The pressure lies {b} past the last column of the table; there the airflow is "
                "a guess that widens with every step.",
                b=(beyond, "pressure"),
            ),
            "Check the tap and the table's page, and read both statics again.",
            "outside-table",
            "unit.table",
        )


def _lost_air(as_found: Prediction) -> Iterator[Doubt]:
    """Runs too few or too small for what the blower moves: somebody forgot some, or one is off."""
    solution, survey = as_found.solution, as_found.survey
    if survey.supply is None or not survey.supply.branches:
        return
    out = np.asarray(solution.delivered) + np.asarray(solution.leak_supply)
    share = float(np.median(np.asarray(solution.delivered) / out))
    if share < threshold("rooms-least"):
        yield Doubt(
            told(
                "Of {a} that leave the plenum, the runs described can carry only {d} to the rooms; "
                "all the rest would have to leak.",
                a=Estimate.of(out, as_found.weights, "airflow"),
                d=as_found.estimate("delivered"),
            ),
            "See whether there are more runs than these, whether one has come off its collar, and "
            "their sizes; then whether the ducts leak.",
            "lost-air",
            "runs",
        )


def _table_against_ducts(as_found: Prediction) -> Iterator[Doubt]:
    """A blower that would have to be far off its table to suit ducts and readings alike."""
    fan, solution = as_found.network.fan, as_found.solution
    if not fan.has_table:
        return
    named = {one.name: one for one in as_found.network.parameters}
    level = [named[name] for name, _ in fan.level if name in named]
    usual = float(np.prod([middle(one) for one in level]))
    spreads = float(np.sqrt(sum(spread(one) ** 2 for one in level)))
    share = Estimate.of(solution.level, as_found.weights, "ratio").value
    if abs(np.log(share / usual)) > threshold("surprise") * spreads:
        yield Doubt(
            told(
                "To suit these ducts and these readings the blower would have to move {s} of what "
                "its table says at this pressure: table, ducts and readings do not fit together.",
                s=(share, "ratio"),
            ),
            "Check the tap that runs, and that the table is this unit's and what it includes; then "
            "the sizes of the runs, and both statics again.",
            "table-against-ducts",
            "unit.table",
        )


def _table_for_capacity(job: Job) -> Iterator[Doubt]:
    """A table of another size of unit moves too little or too much for this capacity."""
    unit = job.survey.unit
    if unit.table is None:
        return
    usual = generic_curve(unit.motor, unit.capacity.si)
    shares: dict[str, list[float]] = {}
    for row in unit.table.rows:
        if row.airflow is not None:
            usually = float(usual.airflow(row.tesp))
            shares.setdefault(row.tap, []).append(row.airflow / usually)
    by_tap = {tap: float(np.median(of_tap)) for tap, of_tap in shares.items()}
    in_use = tap_in_use(job.survey, job.trials[-1]) if job.trials else unit.tap
    most = max(by_tap.values())
    running = by_tap.get(in_use or "", min(by_tap.values()))
    # A single tap may be a slow one on purpose; a whole table without a fast one is another unit's.
    least = threshold("table-least" if len(by_tap) > 1 else "table-least-one-tap")
    if most >= least and running <= threshold("table-most"):
        return
    share, word = (most, "less") if most < least else (running, "more")
    what = "The table" if most < least else "The tap in use"
    yield Doubt(
        told(
            what + " moves {s} of what a unit of {c} usually moves at these pressures: "
            f"{word} than one of this capacity is made for.",
            s=(share, "ratio"),
            c=(unit.capacity.si, "capacity"),
        ),
        "Compare the model on the plate with the table's page, and the capacity with the outdoor "
        "unit's plate.",
        "table-for-capacity",
        "unit.table",
    )


def _surprises(posterior: Posterior, already: set[str]) -> Iterator[Doubt]:
    """Readings that this system, as it is described, can hardly give."""
    explained = {
        "too-much",
        "unusual",
        "tubes-swapped",
        "same-sign",
        "watts",
        "filter-gains",
        "coil-gains",
    }
    if any(id_.partition(":")[0] in explained for id_ in already):
        return
    for residual in posterior.residuals:
        if abs(residual.surprise) < threshold("surprise"):
            continue
        kind = residual.predicted.kind
        yield Doubt(
            told(
                "{m} was read {place}; a system as described gives about {p}.",
                m=(abs(residual.measured), kind),
                p=(abs(residual.predicted.value), kind),
                place=place_said(residual.at),
            ),
            "Read it again at the same place with the blower steady; then look at what the survey "
            "says of that side.",
            f"surprise:{residual.at}",
            residual.at,
        )
