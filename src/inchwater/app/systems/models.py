"""What a firm looks after: customers, their sites, and the systems in them with their surveys."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone

from inchwater.app.core.models import Row


class Customer(Row):
    """Who the firm works for; nameless until somebody names them."""

    name = models.CharField(max_length=200, blank=True)

    class Meta(Row.Meta):
        pass

    def __str__(self) -> str:
        return self.name or "unnamed customer"


class Site(Row):
    """A building."""

    customer = models.ForeignKey(Customer, on_delete=models.CASCADE, related_name="+")
    name = models.CharField(max_length=200, blank=True)
    address = models.TextField(blank=True)

    class Meta(Row.Meta):
        pass

    def __str__(self) -> str:
        return self.name or "unnamed site"


class System(Row):
    """One air handler or furnace with its ducts."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="+")
    name = models.CharField(max_length=200, blank=True)

    class Meta(Row.Meta):
        pass

    def __str__(self) -> str:
        return self.name or "unnamed system"


class SurveyRevision(Row):
    """What is installed, as known at one moment; never changed, only followed by the next.

    ``document`` is the job without its trials (survey, changes, targets), complete or not yet;
    ``typed`` is what was typed on the page for it: ``{field: {"typed": text, "units": "ip"}}``.
    """

    system = models.ForeignKey(System, on_delete=models.CASCADE, related_name="+")
    number = models.PositiveIntegerField()
    parent = models.ForeignKey(
        "self", on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    document = models.JSONField(default=dict)
    typed = models.JSONField(default=dict)
    format_version = models.PositiveIntegerField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    at = models.DateTimeField(default=timezone.now)

    class Meta(Row.Meta):
        constraints = [
            models.UniqueConstraint(fields=["system", "number"], name="one_revision_number")
        ]

    def __str__(self) -> str:
        return f"revision {self.number} of {self.system_id}"


class Instrument(Row):
    """What readings are taken with; ``key`` is its id in job files, the sigmas are in SI."""

    key = models.CharField(max_length=100)
    kind = models.CharField(max_length=50, default="manometer")
    name = models.CharField(max_length=200, blank=True)
    gain = models.FloatField(null=True, blank=True)
    zero = models.FloatField(null=True, blank=True)

    class Meta(Row.Meta):
        pass

    def __str__(self) -> str:
        return self.name or self.kind


class BlowerTable(Row):
    """A printed blower table kept for the next unit of its kind, as a job file holds it."""

    name = models.CharField(max_length=200)
    document = models.JSONField()
    source = models.CharField(max_length=300, blank=True)

    class Meta(Row.Meta):
        constraints = [models.UniqueConstraint(fields=["firm", "name"], name="one_table_name")]

    def __str__(self) -> str:
        return self.name
