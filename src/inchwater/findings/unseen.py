"""What these readings cannot show, said before anybody takes silence for a clean bill."""

from __future__ import annotations

from inchwater.findings.slips import Check
from inchwater.findings.slips_said import hidden_said
from inchwater.survey.job import Job


def unseen(job: Job, checked: Check | None = None) -> tuple[str, ...]:
    """The faults that the job's readings would not show, the commonest first.

    Parameters
    ----------
    job : Job
        Survey and trials; what has been read is not unseen.
    checked : Check, optional
        What these readings could show of a slip, and what not.
    """
    survey = job.survey
    read = {(reading.at, reading.quantity) for trial in job.trials for reading in trial.in_force}
    said = []
    if job.complaint_room and not any(at.startswith(("run:", "register:")) for at, _ in read):
        said.append(
            f"Why the {job.complaint_room} is the room complained of: statics at the unit say "
            "nothing of one room. If the blower moves enough and the supply static is low, look "
            "for a run that has come off or leaks."
        )
    if survey.unit.motor == "constant-airflow" and ("unit", "power") not in read:
        said.append(
            "Whether the blower moves what it is set to: inside its range it holds its airflow "
            "whatever the pressure. Its watts tell; statics do not."
        )
    if survey.unit.table is None:
        said.append(
            "How much air this very blower moves: without its table the airflow is what a blower "
            "of this size usually moves."
        )
    else:
        said.append(
            "Whether this unit moves what its table prints: units differ by a few percent, and "
            "an error that all readings share stays in every figure."
        )
    if survey.unit.wheel is None:
        said.append(
            "A dirty blower wheel: it moves less air and lowers the static at the same time. "
            "Only looking tells."
        )
    if any(coil.inside_unit and coil.condition is None for coil in survey.coils or ()):
        said.append(
            "A dirty coil in the cabinet: it reads as low external static, as if the ducts were "
            "wide. Only looking, or a reading on each side of it, tells."
        )
    if not any(at.startswith(("run:", "register:")) for at, _ in read):
        said.append(
            "One crushed or disconnected run: its room can lose a third of its air while the "
            "blower's changes by about one percent. Only a reading at that run tells."
        )
    said.append(
        "How much air leaks, and where: statics alone do not part a leaking duct from a wide one."
    )
    bare = [r for trial in job.trials for r in trial.in_force if r.instrument is None]
    if bare:
        said.append(
            "What an instrument does of its own: none is named for "
            f"{'this reading' if len(bare) == 1 else f'{len(bare)} readings'}, so the errors of a "
            "usual one are taken."
        )
    if checked is not None:
        said += hidden_said(job, checked)
    return tuple(said)
