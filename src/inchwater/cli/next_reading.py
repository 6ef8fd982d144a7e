"""``next-reading``: what to read next, by the money that it saves per minute of work."""

from __future__ import annotations

from inchwater.cli import frame, options


def next_reading(
    job_path: options.JobPath,
    si: options.Si = False,
    seed: options.Seed = None,
    as_json: options.Json = False,
) -> None:
    """Say which reading is worth taking next, in money saved per minute, or that it is enough.

    Weighed is which of the usual changes meets the goal at the least expected cost.
    """
    from inchwater import planning, survey
    from inchwater.answer import answer
    from inchwater.answer.possibilities import fitted
    from inchwater.cli import show
    from inchwater.cli.jobs import refuse_unread, seed_of

    job = survey.load(job_path)
    refuse_unread(job, "what to read next is weighed from")
    number = seed_of(seed)
    found = answer(job, number)
    ranked = found.next_readings
    if not ranked:
        # The system cannot run in a cooling call: asked alone, the reason is said.
        ranked = planning.next_reading(fitted(job, number).posteriors[0])
    system = options.system_of(si)
    if as_json:
        first = found.before_reading
        frame.document(
            {
                "job": job.id,
                "first": None if first is None else first.to_dict(system),
                "readings": [one.to_dict(system) for one in ranked],
            }
        )
    else:
        show.next_readings(frame.console(), ranked, system, found.before_reading)
