"""A visit: what was typed, the trials with their readings, and the answers that came of them."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone

from inchwater.app.core.models import Row
from inchwater.app.systems.models import Instrument, SurveyRevision, System


class Visit(Row):
    """One call to one system.  ``key`` is the id of its job in files."""

    class State(models.TextChoices):
        """Whether the visit is still being worked on."""

        OPEN = "open", "open"
        CLOSED = "closed", "closed"

    system = models.ForeignKey(System, on_delete=models.CASCADE, related_name="+")
    revision = models.ForeignKey(SurveyRevision, on_delete=models.CASCADE, related_name="+")
    key = models.CharField(max_length=100)
    complaint = models.TextField(blank=True)
    complaint_room = models.CharField(max_length=200, blank=True)
    state = models.CharField(max_length=10, choices=State.choices, default=State.OPEN)
    # The name of the demonstration that it holds; each is loaded once.
    demo = models.CharField(max_length=100, blank=True)
    changed = models.DateTimeField(default=timezone.now)

    class Meta(Row.Meta):
        indexes = [models.Index(fields=["firm", "state", "-changed"], name="visit_continue")]
        constraints = [
            models.UniqueConstraint(
                fields=["firm", "demo"], condition=~models.Q(demo=""), name="one_of_each_demo"
            )
        ]

    def __str__(self) -> str:
        return f"visit {self.key}"


class Trial(Row):
    """One condition of the system; ``key`` is its id in job files."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="+")
    revision = models.ForeignKey(SurveyRevision, on_delete=models.CASCADE, related_name="+")
    key = models.CharField(max_length=100)
    ordinal = models.PositiveIntegerField()
    after = models.JSONField(default=list)
    condition = models.JSONField(default=dict)

    class Meta(Row.Meta):
        constraints = [
            models.UniqueConstraint(fields=["visit", "key"], name="one_trial_key"),
            models.UniqueConstraint(fields=["visit", "ordinal"], name="one_trial_ordinal"),
        ]

    def __str__(self) -> str:
        return f"trial {self.key}"


class Reading(Row):
    """One measured quantity, written once; a correction is a new row that ``corrects`` it.

    ``value`` is SI with its sign; it is null where the reading was taken back, and ``problem``
    then says so; a value that was kept in spite of a doubt has the doubt there.
    """

    trial = models.ForeignKey(Trial, on_delete=models.CASCADE, related_name="+")
    key = models.CharField(max_length=100)
    at = models.CharField(max_length=100)
    quantity = models.CharField(max_length=20)
    typed = models.TextField(blank=True)
    unit = models.CharField(max_length=20)
    value = models.FloatField(null=True)
    problem = models.TextField(blank=True)
    taken_at = models.DateTimeField(null=True)
    received_at = models.DateTimeField(default=timezone.now)
    instrument = models.ForeignKey(
        Instrument, on_delete=models.RESTRICT, null=True, blank=True, related_name="+"
    )
    corrects = models.OneToOneField(
        "self", on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    reason = models.TextField(blank=True)

    class Meta(Row.Meta):
        constraints = [models.UniqueConstraint(fields=["trial", "key"], name="one_reading_key")]

    def __str__(self) -> str:
        return f"{self.quantity} at {self.at}: {self.typed} {self.unit}"


class WorkEntry(Row):
    """One record of the work, written once in the order in which it came.

    ``key`` is its id in job files, made by the phone or the desk; ``document`` is the record as a
    job file holds it, without id.  Where it cannot be right, ``problem`` says why: it is kept, and
    is no part of the job.
    """

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="+")
    number = models.PositiveIntegerField()
    key = models.CharField(max_length=64)
    document = models.JSONField()
    problem = models.TextField(blank=True)
    received_at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta(Row.Meta):
        constraints = [
            models.UniqueConstraint(fields=["visit", "key"], name="one_work_key"),
            models.UniqueConstraint(fields=["visit", "number"], name="one_work_number"),
        ]

    def __str__(self) -> str:
        return f"work {self.number} of {self.visit_id}"


class Draft(Row):
    """What stands in a field and is not a record yet: not valid, doubtful, or not complete."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="+")
    field = models.CharField(max_length=50)
    typed = models.TextField()
    units = models.CharField(max_length=2)
    at = models.DateTimeField(default=timezone.now)

    class Meta(Row.Meta):
        constraints = [models.UniqueConstraint(fields=["visit", "field"], name="one_draft")]

    def __str__(self) -> str:
        return f"draft of {self.field}"


class Answer(Row):
    """A calibration kept with what it came from, so that the same question is not fitted twice.

    ``includes`` is the table's boundary that was taken, where the survey does not say it.
    """

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="+")
    job_hash = models.CharField(max_length=100)
    engine_version = models.CharField(max_length=50)
    seed = models.BigIntegerField()
    includes = models.CharField(max_length=100)
    summary = models.JSONField(default=dict)
    samples = models.BinaryField()

    class Meta(Row.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["visit", "job_hash", "engine_version", "seed", "includes"],
                name="one_answer",
            )
        ]

    def __str__(self) -> str:
        return f"answer {self.job_hash[:8]}"
