"""Collects the targets of one call, each with bounds from preset, maker and wish."""

from __future__ import annotations

from dataclasses import dataclass, field

from inchwater.criteria.bounds import Bounds, Wished
from inchwater.criteria.target import Target
from inchwater.survey.job import Survey, Targets


@dataclass
class Maker:
    """Makes the targets of one call.

    ``noisy`` is the room in which noise is complained of, empty for all of them, None for none.
    """

    survey: Survey
    wanted: Targets
    call: str
    wished: Wished
    noisy: str | None = None
    found: list[Target] = field(default_factory=list)

    def add(
        self,
        key: str,
        label: str,
        quantity: str,
        kind: str,
        bounds: Bounds | None,
        subject: str = "",
        *,
        needed: bool = True,
        louder: float | None = None,
        faster: float | None = None,
    ) -> None:
        """One target, if there are bounds; what is stated counts, whatever ``needed`` says.

        ``louder`` [dB] and ``faster`` [-] as of :class:`Target`, for what nobody wished.
        """
        if bounds is None:
            return
        self.found.append(
            Target(
                key=key,
                label=label,
                quantity=quantity,
                call=self.call,
                subject=subject,
                low=bounds.low,
                high=bounds.high,
                unit_kind=kind,
                source=bounds.source,
                status=bounds.status,
                note=bounds.note,
                stated=bounds.stated,
                needed=needed or bounds.stated,
                others=bounds.others,
                louder=None if bounds.stated else louder,
                faster=None if bounds.stated else faster,
            )
        )


def named(id_: str, room: str | None) -> str:
    """A part by its id and the room that it serves."""
    return f"{id_}, {room}" if room else id_
