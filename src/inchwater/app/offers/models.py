"""A firm's own prices, and the option that was accepted on a visit as it stood then."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone

from inchwater.app.core.models import Row
from inchwater.app.visits.models import Visit


class OwnPrice(Row):
    """One figure of the price book as the firm has it: ``rate``, ``visit``.  US dollars."""

    key = models.CharField(max_length=100)
    typed = models.CharField(max_length=50)
    value = models.FloatField()
    at = models.DateTimeField(default=timezone.now)

    class Meta(Row.Meta):
        constraints = [models.UniqueConstraint(fields=["firm", "key"], name="one_own_price")]

    def __str__(self) -> str:
        return f"{self.key}: {self.typed}"


class AcceptedOption(Row):
    """An option as it was offered and accepted; written once, and the latest one counts.

    ``document`` is the offer as the pages showed it, in SI and US dollars; ``changes`` are the ids
    of its changes in the job, in their order.  ``key`` is that of the offer.
    """

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="+")
    key = models.CharField(max_length=500)
    label = models.TextField()
    changes = models.JSONField(default=list)
    document = models.JSONField()
    job_hash = models.CharField(max_length=100)
    engine_version = models.CharField(max_length=50)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    at = models.DateTimeField(default=timezone.now)

    class Meta(Row.Meta):
        indexes = [models.Index(fields=["firm", "visit", "-at"], name="accepted_last")]

    def __str__(self) -> str:
        return f"accepted: {self.label}"
