"""Managers that refuse a query without a firm: ``Visit.objects.of(firm)`` is the only way in.

Anything else asked of ``objects`` raises :class:`FirmMissing`, so that a forgotten filter is a
failing test and never another firm's customer on the page.  ``Visit.unscoped`` is the deliberate
way round, for migrations and the purge.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, TypeVar
from uuid import UUID

from django.db import models

if TYPE_CHECKING:
    from inchwater.app.firms.models import Firm

_Row = TypeVar("_Row", bound=models.Model, covariant=True)


class FirmMissing(RuntimeError):  # noqa: N818 - it names what is missing, like Django's DoesNotExist
    """A query on a firm's rows was about to run without a firm."""

    def __init__(self, *, model: str, asked: str) -> None:
        self.model = model
        self.asked = asked
        super().__init__(
            f"{model}.objects.{asked}: no firm came; rows of a firm are asked for by "
            f"{model}.objects.of(firm). "
            f"Migrations and the purge use {model}.unscoped."
        )


class OtherFirm(RuntimeError):  # noqa: N818
    """A row was about to be saved that belongs to one firm and points at a row of another."""

    def __init__(self, *, model: str, field: str) -> None:
        self.model = model
        self.field = field
        super().__init__(
            f"{model}.{field}: a row of another firm came; both ends belong to one firm."
        )


class FirmQuerySet(models.QuerySet[_Row]):
    """The rows of one firm; what it creates belongs to that firm."""

    firm_id: UUID | None = None

    def _clone(self) -> Any:
        clone = super()._clone()  # type: ignore[misc]
        clone.firm_id = self.firm_id
        return clone

    def create(self, **values: Any) -> _Row:
        """A new row of this firm."""
        return super().create(**self._owned(values))

    def get_or_create(self, defaults: Any = None, **values: Any) -> tuple[_Row, bool]:
        """The row of this firm with these values, made if it is not there."""
        return super().get_or_create(defaults, **self._owned(values))

    def update_or_create(
        self, defaults: Any = None, create_defaults: Any = None, **values: Any
    ) -> tuple[_Row, bool]:
        """The row of this firm with these values, made or changed to ``defaults``."""
        return super().update_or_create(defaults, create_defaults, **self._owned(values))

    def bulk_create(self, objs: Iterable[Any], *args: Any, **options: Any) -> list[_Row]:
        """New rows, every one of them of this firm."""
        rows = list(objs)
        for row in rows:
            if row.firm_id != self.firm_id:
                raise OtherFirm(model=self.model.__name__, field="firm")
            row.check_firm()
        return super().bulk_create(rows, *args, **options)

    def _owned(self, values: dict[str, Any]) -> dict[str, Any]:
        given = values.get("firm_id", getattr(values.get("firm"), "pk", self.firm_id))
        if given != self.firm_id:
            raise OtherFirm(model=self.model.__name__, field="firm")
        values.pop("firm", None)
        return {**values, "firm_id": self.firm_id}


class FirmManager(models.Manager[_Row]):
    """The default manager of a firm's rows: it has :meth:`of`, and refuses everything else."""

    def of(self, firm: Firm | UUID) -> FirmQuerySet[_Row]:
        """The rows of this firm.

        Parameters
        ----------
        firm : Firm or UUID
            The firm, or its key.

        Raises
        ------
        FirmMissing
            If nothing or something else came.
        """
        key = firm if isinstance(firm, UUID) else getattr(firm, "pk", None)
        if not isinstance(key, UUID):
            raise FirmMissing(model=self.model.__name__, asked=f"of({firm!r})")
        rows: FirmQuerySet[_Row] = FirmQuerySet(self.model, using=self._db).filter(firm_id=key)
        rows.firm_id = key
        return rows

    def get_queryset(self) -> models.QuerySet[_Row]:
        """Refuse: every way into the rows but :meth:`of` comes through here."""
        raise FirmMissing(model=self.model.__name__, asked="…")
