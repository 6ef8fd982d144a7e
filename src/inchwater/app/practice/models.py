"""A practice round: its house's seed and its acts, from which everything else is computed again."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from inchwater.app.core.models import Row
from inchwater.app.firms.models import User


class PracticeRound(Row):
    """One person's round on one invented house; ``document`` is what a file of it holds."""

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="+")
    document = models.JSONField(default=dict)
    seed = models.PositiveBigIntegerField()
    # Empty while it goes on, else "done" or "cannot".
    ended = models.CharField(max_length=10, blank=True)
    changed = models.DateTimeField(default=timezone.now)

    class Meta(Row.Meta):
        indexes = [models.Index(fields=["firm", "user", "-changed"], name="practice_continue")]

    def __str__(self) -> str:
        return f"practice house {self.seed}"
