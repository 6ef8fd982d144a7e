"""A firm, the people in it, and what each of them likes to see."""

from __future__ import annotations

from uuid import uuid4

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.utils import timezone

from inchwater.app.core.models import Row


class User(AbstractUser):
    """A person; which firms they work in is in :class:`Membership`."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)


class Firm(models.Model):
    """The owner of every other row."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    name = models.CharField(max_length=200)
    # The firm that `serve` makes for the person at this machine; there is one at most.
    local = models.BooleanField(default=False)
    created = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["local"], condition=models.Q(local=True), name="one_local_firm"
            )
        ]

    def __str__(self) -> str:
        return self.name


class Membership(Row):
    """One person in one firm: the role, and the units that their pages are in."""

    class Role(models.TextChoices):
        """What a person may do in the firm."""

        OWNER = "owner", "owner"
        OFFICE = "office", "office"
        TECHNICIAN = "technician", "technician"

    class Units(models.TextChoices):
        """The unit systems, as ``units.System`` names them."""

        INCH_POUND = "ip", "inch-pound"
        SI = "si", "SI"

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="+")
    role = models.CharField(max_length=20, choices=Role.choices, default=Role.TECHNICIAN)
    units = models.CharField(max_length=2, choices=Units.choices, default=Units.INCH_POUND)

    class Meta(Row.Meta):
        constraints = [models.UniqueConstraint(fields=["firm", "user"], name="one_membership")]

    def __str__(self) -> str:
        return f"{self.user} in {self.firm}"
