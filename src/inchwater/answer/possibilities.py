"""What a blower table may include where nobody has said: one full answer each, never a blend."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inchwater.answer import sentences
from inchwater.answer.types import Alternative
from inchwater.criteria import Goal
from inchwater.errors import OutsideTableError, joined
from inchwater.findings import Doubt, told
from inchwater.network.compile_unit import possible_boundaries
from inchwater.quantity import Estimate
from inchwater.survey import Job

if TYPE_CHECKING:
    from inchwater.calibration import Posterior

_WORDS = {
    "coil-dry": "a dry coil",
    "coil-wet": "a wet coil",
    "filter": "the filter",
    "heater": "the heater",
}
_ORDER = ("coil-dry", "coil-wet", "filter", "heater")


@dataclass(frozen=True)
class Fits:
    """The calibrations of one job, the likeliest possibility first; ``refused`` fit none."""

    posteriors: tuple[Posterior, ...]
    refused: tuple[tuple[frozenset[str], OutsideTableError], ...] = ()


def possible(job: Job) -> tuple[frozenset[str], ...]:
    """What the table's zero may include, the likeliest first; empty where it is known."""
    table = job.survey.unit.table
    if table is None or table.includes is not None:
        return ()
    return possible_boundaries(job.survey)


def fitted(job: Job, seed: int, given: Posterior | Sequence[Posterior] | None = None) -> Fits:
    """One calibration for each possibility, or the one there is.

    Parameters
    ----------
    job : Job
        Its readings are fitted.
    seed : int
        Of every calibration, so that possibilities differ in nothing else.
    given : Posterior or sequence of Posterior, optional
        Calibrations of this job that need not be made again.

    Raises
    ------
    OutsideTableError
        If the readings lie outside the table whatever it includes.
    """
    from inchwater.calibration import calibrate

    ready = [] if given is None else list(given) if isinstance(given, Sequence) else [given]
    choices = possible(job)
    if not choices:
        return Fits((ready[0] if ready else calibrate(job, seed),))
    posteriors, refused = [], []
    for includes in choices:
        known = next((one for one in ready if one.includes == includes), None)
        try:
            posteriors.append(known or calibrate(job, seed, includes))
        except OutsideTableError as error:
            # This possibility contradicts the readings: it is told as a doubt, with the rest.
            refused.append((includes, error))
    if not posteriors:
        raise refused[0][1]
    return Fits(tuple(posteriors), tuple(refused))


def alternatives(job: Job, fits: Fits, goal: Goal) -> tuple[Alternative, ...]:
    """Each possibility with numbers of its own."""
    from inchwater.forecast import predict

    found = []
    for posterior in fits.posteriors:
        prediction = predict(posterior)
        includes = posterior.includes or frozenset()
        airflow = prediction.estimate("airflow")
        found.append(
            Alternative(
                includes=tuple(word for word in _ORDER if word in includes),
                label=label(includes),
                airflow=airflow,
                delivered=prediction.estimate("delivered"),
                tesp=prediction.estimate("tesp"),
                airflow_per_ton=prediction.estimate("airflow_per_ton"),
                sentence=sentences.leaves_the_blower(airflow, goal),
            )
        )
    return tuple(found)


def label(includes: frozenset[str]) -> str:
    """``The table includes a dry coil and the filter``."""
    words = [_WORDS[word] for word in _ORDER if word in includes]
    if not words:
        return "The table includes nothing beyond the unit"
    return f"The table includes {joined(words, 'and')}"


def over_all(main: Estimate, each: Sequence[Estimate]) -> Estimate:
    """The likeliest possibility's middle, with a range that holds every possibility's."""
    if not each:
        return main
    return Estimate(main.value, min(e.low for e in each), max(e.high for e in each), main.kind)


def doubts_of_refused(fits: Fits) -> tuple[Doubt, ...]:
    """A possibility that the readings rule out, as a doubt about it."""
    return tuple(
        Doubt(
            told(
                label(includes) + "? Then the reading lies outside it: {came}; {right}.",
                came=error.came,
                right=error.right,
            ),
            "Read the note under the table: what was in the unit when it was measured.",
            f"boundary:{'+'.join(sorted(includes)) or 'nothing'}",
        )
        for includes, error in fits.refused
    )
