"""What is said of a slip that was found, of a survey that cannot be right, of what is hidden."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from inchwater.calibration.observe import Observed
from inchwater.calibration.priors import Prior
from inchwater.errors import InchwaterError, OutsideTableError, joined
from inchwater.findings.labels import part_label
from inchwater.findings.places import place_said, trial_said
from inchwater.findings.slip import UNITS, Slip, figure
from inchwater.findings.slips import Check, Suspect, check
from inchwater.findings.types import Doubt, told
from inchwater.findings.watts import tap_in_use
from inchwater.network import solve
from inchwater.network.elements import Array
from inchwater.survey.job import Job
from inchwater.survey.trials import KINDS, Reading

Value = tuple[float, str] | str


def slip_doubts(job: Job, found: Check) -> Iterator[Doubt]:
    """The likeliest slip, and the one that is nearly as likely, with what would part them."""
    named = found.named
    for number, suspect in enumerate(named):
        text, values, recheck = _said(job, found, suspect)
        which = "slip-too" if number else "slip"
        if number:
            text = "Nearly as likely: " + text[0].lower() + text[1:]
        if len(named) > 1 and not number:
            recheck += " " + _parts(named[0].slip, named[1].slip)
        yield Doubt(
            told(text, **values), recheck, f"{which}:{suspect.slip.kind}", suspect.slip.places[0]
        )
    if found.unexplained:
        yield _cannot_be_right(job, found)
    else:
        yield from _at_bound(job, found)


def _said(job: Job, found: Check, suspect: Suspect) -> tuple[str, dict[str, Value], str]:
    slip = suspect.slip
    values: dict[str, Value] = {"when": _when(job, slip.trials)}
    if slip.kind == "reading-off":
        reading = _reading(found, slip)
        off = "this one reading is off." if len(found.named) == 1 else "this reading may be off."
        values |= {
            "place": place_said(reading.at),
            "m": (abs(reading.value), KINDS[reading.quantity]),
        }
        text = "{m} was read {place}{when}; "
        shown = suspect.shown.get((slip.trials[0], reading.at))
        if shown is None:
            text += f"the other readings and the survey do not fit it: {off}"
        else:
            values["p"] = (abs(shown), KINDS[reading.quantity])
            text += "the other readings and the survey make it about {p}: " + off
        return (
            text,
            values,
            (
                "Read it again at the same place with the blower steady, the tube dry and the tip "
                "square to the air."
            ),
        )
    if slip.kind == "trial-off":
        values["when"] = _when(job, slip.trials).removeprefix(" in ")
        return (
            "The readings of {when} do not fit the others: something was different there that is "
            "not said.",
            values,
            "Think what was changed for it, a door, the filter, a register, the call, the speed, "
            "and say it; or read that trial again.",
        )
    if slip.kind == "tubes-swapped":
        values |= {"a": place_said(slip.places[0]), "b": place_said(slip.places[1])}
        return (
            "The tube {a} and the one {b} are swapped{when}: read the other way round they fit.",
            values,
            "Swap the tubes at the manometer, set it to zero, and read both again.",
        )
    if slip.kind == "other-unit":
        return _other_unit(found, slip, values)
    if slip.kind in ("filter-left-in", "filter-left-out"):
        was, said = ("in", "out") if slip.kind == "filter-left-in" else ("out", "in")
        return (
            f"The filter was {was}{{when}}, though {said} was said: the readings are those of a "
            f"system with its filter {was}.",
            values,
            "With the blower off look into every filter's place, and read that trial again.",
        )
    if slip.kind.startswith("tap"):
        survey, trial = job.survey, next(t for t in job.trials if t.id == slip.trials[0])
        values |= {"to": slip.to, "said": tap_in_use(survey, trial) or "unknown"}
        return (
            "Another speed ran{when} than was said: tap {to} fits the readings, tap {said} does "
            "not.",
            values,
            "With the power off and proven dead, see which speed lead is on which terminal for "
            "this call.",
        )
    if slip.kind == "wrong-side":
        values |= {"a": place_said(slip.places[0]), "b": place_said(slip.to)}
        return (
            "The readings {a} fit a hole {b}: it is on the other side than was said.",
            values,
            "Follow the air by hand from the grille, and see what stands on each side of the hole.",
        )
    if slip.kind == "other-table":
        return (
            f"The readings fit a blower that moves as much as the next {slip.to} size of unit, "
            "not this table.",
            values,
            "Compare the model on the plate with the table's page.",
        )
    if slip.kind == "runs-size":
        values["to"] = slip.to
        return (
            "The runs that were described together: the readings fit {to} runs.",
            values,
            "Measure round a few of those ducts and divide by 3.14, or read the print on them; "
            "insulation does not count.",
        )
    values["part"] = part_label(slip.places[0], job.survey)
    if slip.kind == "run-size":
        values["to"] = slip.to
        return (
            "{part}: the readings fit a {to} run.",
            values,
            "Measure round that duct and divide by 3.14, or read the print on it.",
        )
    return (
        "{part}: the readings fit a run whose register or damper is shut.",
        values,
        "Look at the register's lever and at the damper's handle.",
    )


def _other_unit(
    found: Check, slip: Slip, values: dict[str, Value]
) -> tuple[str, dict[str, Value], str]:
    recheck = "Look at the unit on the gauge's display and read again."
    if len(slip.places) > 1:
        if len(slip.trials) > 1:
            values["when"] = ""
        return f"All pressures{{when}} look like {slip.to}.", values, recheck
    reading = _reading(found, slip)
    values |= {
        "place": place_said(reading.at),
        "m": (abs(reading.value), "pressure"),
        "v": (abs(reading.value) / UNITS[slip.to], "pressure"),
    }
    text = "{m} {place}{when} looks like " + slip.to + ": then it is {v}."
    return text, values, recheck


def _when(job: Job, trials: tuple[str, ...]) -> str:
    if len(job.trials) < 2 or not trials:
        return ""
    said = [trial_said(job, one) for one in trials]
    if len(said) == len(job.trials):
        return " in all trials"
    return f" in {joined(said, 'and')}"


def _reading(found: Check, slip: Slip) -> Reading:
    for one in found.trials:
        for reading in one.readings:
            there = one.trial.id == slip.trials[0] and reading.at == slip.places[0]
            if there and slip.to in (reading.id, *UNITS):
                return reading
    raise KeyError(slip.places[0])


def _parts(one: Slip, other: Slip) -> str:
    """What would tell two slips from each other."""
    kinds = {one.kind.partition("-")[0], other.kind.partition("-")[0]}
    if "tap" in kinds:
        return "The blower's watts in that call would tell which of the two it is."
    if one.kind == other.kind == "reading-off":
        return "Whichever of the two reads otherwise the second time was off."
    if "reading" in kinds:
        return "A second reading there that stays the same leaves the other."
    return "Looking there tells which of the two it is."


def _cannot_be_right(job: Job, found: Check) -> Doubt:
    worst = furthest(found)
    text = "The survey cannot be right, and no single slip explains these readings"
    if found.named:
        text = "Even then the survey and these readings do not fit: more than one thing is off"
    if worst is None:
        recheck = "Check the model of the unit, the tap, the sizes, and every reading once more."
        return Doubt(told(text + "."), recheck, "cannot-be-right", "")
    label, times, about = worst
    values: dict[str, Value] = {
        "part": label,
        "times": f"{times:.1f}" if times >= 0.995 else f"{times:.2f}",
    }
    joint = ". {Part}" if found.named else ": {part}"
    values["Part"] = label[0].upper() + label[1:]
    whole = told(f"{text}{joint} would have to {about}.", **values)
    return Doubt(whole, _LOOK[label], "cannot-be-right", "")


def _at_bound(job: Job, found: Check) -> Iterator[Doubt]:
    """Parts that stand at the end of what is thought possible of them."""
    names = {
        _part_of(name, job): name
        for name, value in found.best.latents.items()
        if abs(value) >= figure("bound")
    }
    for part, name in names.items():
        yield Doubt(
            told(
                "To fit these readings one part has to be at the end of what is thought possible "
                "of it: {part}. What is said of it is no more than a bound.",
                part=part,
            ),
            "Look at what the survey says of it, and read again beside it.",
            f"at-bound:{name}",
            "",
        )


def _part_of(name: str, job: Job) -> str:
    """What a latent belongs to, in words."""
    role, slash, side = name.partition("/")
    if slash:
        return _SHARED.get(role, "the {role} on the {side} side").format(role=role, side=side)
    kind = name.partition(":")[0]
    if kind == "instrument":
        return "the instrument's own error"
    if kind == "unit":
        return "the blower"
    parts = name.split(":")
    for end in range(len(parts), 0, -1):
        label = part_label(":".join(parts[:end]), job.survey)
        if label:
            return label[0].lower() + label[1:]
    return f"the {kind}'s own multiplier"


# What the parts of one side share, as the prior names it.
_SHARED = {
    "friction": "the friction of all ducts on the {side} side",
    "compression": "how far all flex on the {side} side is compressed",
    "fittings": "what all fittings on the {side} side resist",
    "terminal": "what all registers resist with their boots",
}
_LOOK = {
    "the supply's ducts": "Look for a crushed run, a closed damper, a wrong size, a run that "
    "nobody described or that has come off; then read the supply again.",
    "the return's ducts": "Look for a blocked grille, a crushed or wrong-sized return, one that "
    "nobody described; then read the return again.",
    "the filter": "Look whether it is clogged, doubled, bypassed or of another class; then read on "
    "both sides of it again.",
    "the coil": "Look whether it is iced, dirty or of another size; then read on both sides again.",
    "the blower": "Check the tap that runs, and that the table is this unit's and what it "
    "includes; look at the wheel.",
}


def furthest(found: Check) -> tuple[str, float, str] | None:
    """The part whose multiplier lies furthest from what was expected of it.

    Returns
    -------
    tuple of str, float, str, or None
        What it is called, how many times its expected resistance or airflow it would have, and
        what it would have to do, with ``{times}``; None where all are much as expected.
    """
    one, latents = found.best.trials[0], found.best.latents
    prior = Prior.of(one.parameters)
    at = np.array([latents.get(name, 0.0) for name in prior.latents])
    size = len(at)
    points = np.vstack([np.zeros(size), at, 0.1 * np.eye(size)])
    values = prior.values({name: points[:, i] for i, name in enumerate(prior.latents)})
    logs = _resistances(one, values, len(points))
    worst: tuple[float, str, float] | None = None
    for label, row in logs.items():
        moved = float(row[1] - row[0])
        usual = float(np.sqrt(np.square((row[2:] - row[0]) / 0.1).sum()))
        if usual > 0.0 and (worst is None or abs(moved) / usual > worst[0]):
            worst = (abs(moved) / usual, label, float(np.exp(moved)))
    if worst is None or worst[0] < figure("tells"):
        return None
    _, label, times = worst
    if label == "the blower":
        return label, times, "move {times} times what its table says at this pressure"
    of = "its size says" if label in ("the filter", "the coil") else "their sizes say"
    return label, times, "resist {times} times what " + of


def _resistances(one: Observed, values: Mapping[str, Array], size: int) -> dict[str, Array]:
    """Logarithm of each part's resistance at its own flow, and of the blower's level (point,)."""
    network = one.network
    solution = solve(network, values, size)
    flow = np.log(solution.airflow)
    drops = {
        "the supply's ducts": solution.side("supply"),
        "the return's ducts": solution.side("return"),
        "the filter": solution.edge_drop[:, list(network.unit_filter)].sum(axis=1),
        "the coil": solution.edge_drop[:, list(network.coil)].sum(axis=1),
    }
    found = {
        label: np.log(drop) - 2.0 * flow for label, drop in drops.items() if np.all(drop > 0.0)
    }
    return found | {"the blower": np.log(np.asarray(solution.level))}


def hidden_said(job: Job, found: Check) -> tuple[str, ...]:
    """What these readings could not show, each with what would."""
    said = []
    named = {suspect.slip.kind for suspect in found.named}
    taps = [slip for slip in found.hidden if slip.kind.startswith("tap")]
    if taps and not named & {"tap-in-trial", "tap-of-call"}:
        near = list(dict.fromkeys(slip.to for slip in taps))
        said.append(
            f"Another speed wire than said (tap {joined(near)}): these readings would hardly "
            "look different. The blower's watts or its speed would show it."
        )
    if any(slip.kind == "filter-left-in" for slip in found.hidden) and not named:
        said.append(
            "Whether the filter was really out: the two states differ by less than the readings' "
            "spread. A port on each side of the filter, or a look, would show it."
        )
    pairs = [slip.places for slip in found.hidden if slip.kind == "tubes-swapped"]
    if pairs and "tubes-swapped" not in named:
        which = [f"{place_said(a)} and {place_said(b)}" for a, b in dict.fromkeys(pairs)]
        said.append(
            f"Two tubes swapped ({joined(which)}): they read nearly the same. Marked tubes, or "
            "each read by itself, would show it."
        )
    least = figure("usual-off")
    blind = [
        place_said(at)
        for (_, at, quantity), limit in found.limits.items()
        if quantity in ("static", "drop") and limit > least
    ]
    if blind:
        said.append(
            "One reading off by 0.10 in. w.c. (25 Pa) "
            f"{joined(list(dict.fromkeys(blind)))}: nothing else that was read would contradict "
            "it. A second reading, or another trial, would show it."
        )
    return tuple(said)


def with_slip(error: OutsideTableError, job: Job) -> OutsideTableError:
    """The error of readings that lie outside the table, with the slip that would explain them.

    Parameters
    ----------
    error : OutsideTableError
        Returned as it is where no slip is found.
    job : Job
        With the readings that led to it.
    """
    try:
        found = check(job)
    except InchwaterError:
        return error
    if found is None or not found.named:
        return error
    slips = [one for one in slip_doubts(job, found) if one.id.startswith("slip")]
    said = " ".join(f"{one.text.text()} {one.recheck}" for one in slips)
    return OutsideTableError(where=error.where, came=error.came, right=error.right, do=said)
