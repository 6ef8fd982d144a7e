"""The base of every row that belongs to a firm."""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import uuid4

from django.db import models
from django.utils import timezone

from inchwater.app.core.rows import FirmManager, OtherFirm


class Row(models.Model):
    """A row with a key that a client may have made, its firm, and when it came.

    No relation has a name backwards (``related_name="+"``): a reverse manager would be a way to
    rows that no firm was named for.
    """

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    firm = models.ForeignKey("firms.Firm", on_delete=models.CASCADE, related_name="+")
    created = models.DateTimeField(default=timezone.now, editable=False)

    objects: ClassVar[FirmManager[Any]] = FirmManager()
    unscoped: ClassVar[models.Manager[Any]] = models.Manager()

    class Meta:
        abstract = True
        default_manager_name = "objects"
        # Django itself follows a relation, refreshes and deletes by key through this one.
        base_manager_name = "unscoped"

    def save(self, *args: Any, **options: Any) -> None:
        """Save, unless it points at a row of another firm."""
        self.check_firm()
        super().save(*args, **options)

    def check_firm(self) -> None:
        """OtherFirm if a row that this one points at belongs to another firm."""
        for field in self._meta.concrete_fields:
            related = field.related_model
            if not (isinstance(related, type) and issubclass(related, Row)):
                continue
            if getattr(self, field.attname) is None:
                continue
            if getattr(self, field.name).firm_id != self.firm_id:
                raise OtherFirm(model=type(self).__name__, field=field.name)
