"""What could be done as a table: what it costs, what it brings, the odds that it reaches."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inchwater.findings.places import place_said
from inchwater.planning import money
from inchwater.quantity import Estimate
from inchwater.reports.tables import Row, Table
from inchwater.units import System

if TYPE_CHECKING:
    from inchwater.effects.types import Group
    from inchwater.planning import Frontier, Offer, Price
    from inchwater.planning.price_book import Line
    from inchwater.survey import Survey

_WHOLE = {
    "airflow": "Through the blower",
    "delivered": "To the rooms",
    "tesp": "External static",
}
_GROUPS: dict[Group, str] = {
    "noise": "Noise",
    "cooling": "Cooling",
    "coil": "Coil",
    "heating": "Heating",
    "fan": "Blower power and energy",
    "ducts": "Air in the ducts",
}


def price_said(offer: Offer) -> str:
    """What an offer costs, with its range."""
    price = offer.price
    if not offer.changes:
        return "costs nothing"
    return f"{money(price.value)} ({money(price.low)}–{money(price.high)})"


def offers_table(found: Frontier, system: System = "ip") -> Table:
    """The offers by rising price, money in US dollars; the preferred one says so."""
    air = found.offers[0].estimates["airflow"].label(system)
    pressure = found.offers[0].estimates["tesp"].label(system)
    return Table(
        "What could be done, by price",
        ("Option", "Price", "from", "to", air, pressure, "in 100", "In the end"),
        tuple(
            Row(
                f"offer-{number}",
                f"{number}, preferred" if one is found.preferred else f"{number}",
                (
                    money(one.price.value),
                    money(one.price.low),
                    money(one.price.high),
                    one.estimates["airflow"].text(system),
                    one.estimates["tesp"].text(system),
                    f"{100.0 * one.odds:.0f}",
                    money(one.expected_cost),
                ),
            )
            for number, one in enumerate(found.offers, 1)
        ),
    )


def frontier_table(found: Frontier, system: System = "ip") -> Table:
    """The rows that the picture's points lead to, narrow enough for a phone; ranges stand below."""
    air, tesp = (found.offers[0].estimates[name] for name in ("airflow", "tesp"))
    rows = []
    for number, one in enumerate(found.offers, 1):
        then = one.estimates
        cells = (
            _money(one.price) if one.changes else "$0",
            f"{then['airflow'].text(system)}\n{then['tesp'].text(system)}",
            f"{100.0 * one.odds:.0f}\n{money(one.expected_cost)}",
        )
        head = f"{number} preferred" if one is found.preferred else f"{number}"
        rows.append(Row(f"offer-{number}", head, cells))
    both = f"{air.label(system)}, {tesp.label(system)}"
    columns = ("Option", "Price", both, "In 100, in the end")
    return Table("The same, with air and pressure", columns, tuple(rows))


def offer_readings_table(
    found: Frontier, offer: Offer, survey: Survey, system: System = "ip"
) -> Table:
    """What both flows, each test point and each room show as it is, and what with the offer."""
    as_it_is = found.offers[0].estimates
    rooms = {} if survey.supply is None else {run.id: run.room for run in survey.supply.runs}
    rows = []
    for name in dict.fromkeys((*as_it_is, *offer.estimates)):
        now, then = as_it_is.get(name), offer.estimates.get(name)
        known = now or then
        if known is None:
            continue
        what, _, which = name.partition(":")
        if what == "static":
            head = f"Static {place_said(which)}"
        elif what == "flow":
            head = rooms.get(which) or f"run {which}"
        else:
            head = _WHOLE[what]
        head = f"{head[:1].upper()}{head[1:]}, {known.label(system)}"
        cells = (_with_range(now, system), _with_range(then, system))
        rows.append(Row(f"{_id(offer)}-{name.replace(':', '-')}", head, cells))
    return Table("Test points and rooms", ("What", "Now", "Then"), tuple(rows))


def offer_effects_tables(offer: Offer, system: System = "ip") -> tuple[Table, ...]:
    """What else the offer changes, now and then, a table for each kind of effect."""
    found = []
    for group, title in _GROUPS.items():
        rows = []
        for one in offer.effects.group(group) if offer.effects else ():
            if one.now is not None and one.then is not None:
                head = f"{one.label}, {one.now.label(system)}"
                cells = (_with_range(one.now, system), _with_range(one.then, system))
            elif one.change is not None:
                # Of some effects only the difference is known.
                head = f"{one.label}, {one.change.label(system)} of difference"
                cells = ("", _with_range(one.change, system))
            else:
                continue
            rows.append(Row(f"{_id(offer)}-{one.key.replace(':', '-')}", head, cells))
        if rows:
            found.append(Table(title, ("Effect", "Now", "Then"), tuple(rows)))
    return tuple(found)


def price_table(offer: Offer) -> Table:
    """What an offer's price is made of, in US dollars."""
    rows = [
        Row(
            f"{_id(offer)}-price-{number}",
            f"{line.label[:1].upper()}{line.label[1:]}",
            (f"{line.minutes:.0f}" if line.minutes else "", _money(line)),
        )
        for number, line in enumerate(offer.price.lines)
    ]
    total = (f"{offer.price.minutes:.0f}", _money(offer.price))
    rows.append(Row(f"{_id(offer)}-price", "All together", total))
    return Table("What is done, and its price", ("Work", "Minutes", "Price"), tuple(rows))


def _money(one: Line | Price) -> str:
    return f"{money(one.value)}\n{money(one.low)}–{money(one.high)}"


def _with_range(one: Estimate | None, system: System) -> str:
    return "–" if one is None else f"{one.text(system)}\n{one.range_text(system)}"


def _id(offer: Offer) -> str:
    """The offer's key as the stem of ids on a page."""
    return "of-" + "".join(c if c.isalnum() else "-" for c in offer.key)
