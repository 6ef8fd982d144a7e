"""Questions about the survey itself: parts that could be as described but most likely are not.

``survey.doubts`` finds them; here they become doubts of an answer beside those about readings.
"""

from __future__ import annotations

from inchwater.findings.types import Doubt, told
from inchwater.survey import doubts as doubts_of_survey
from inchwater.survey.job import Job


def described_doubts(job: Job) -> tuple[Doubt, ...]:
    """What could be right in the survey but is worth a look: two filters, sizes that do not fit.

    Parameters
    ----------
    job : Job
        Its survey as found; a doubt never changes a number.
    """
    return tuple(
        Doubt(
            # Names of rooms and zones are anybody's text, so they go in as values.
            told("{came}: {right}.", came=one.came.rstrip(","), right=one.right.removesuffix(".")),
            one.do,
            f"described-{number}",
        )
        for number, one in enumerate(doubts_of_survey(job), start=1)
    )
