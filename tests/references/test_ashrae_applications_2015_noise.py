"""ASHRAE Handbook HVAC Applications 2015, chapter 48: air speeds by noise, read in two re-posts.

The table of duct speeds (table 8) gives the fastest air for RC(N) 45, 35 and 25, so between two of
its columns flow noise changes by 20 or 10 dB.  The speeds through free openings are from memory.
"""

from __future__ import annotations

import pytest

from inchwater.effects import noise
from inchwater.units import to_si

# Place; shape; speeds at RC 45 and 25. [fpm]
DUCTS = [
    ("in a shaft", "rectangular", 3500, 1700),
    ("in a shaft", "round", 5000, 2500),
    ("above a suspended ceiling", "rectangular", 2500, 1200),
    ("above a suspended ceiling", "round", 4500, 2000),
    ("in the room", "rectangular", 2000, 950),
    ("in the room", "round", 3900, 1700),
]


@pytest.mark.parametrize(("place", "shape", "loud", "soft"), DUCTS)
def test_twenty_decibels_between_duct_speeds(check, place, shape, loud, soft):
    """From the speed at RC 25 to that at RC 45 the law gives 20 dB (12 %)."""
    check(
        formula="flow noise",
        source="ashrae-applications",
        place="table 8, fastest air in main ducts",
        case=f"{shape} duct {place}, {soft} to {loud} fpm",
        says=20.0,
        got=noise.velocity_change(float(soft), float(loud)),
        unit="dB",
        rel=0.12,
        status="read",
    )


# Noise criterion; speed through free openings of registers and of grilles. [fpm]
OPENINGS = [(45, 625, 750), (40, 560, 675), (35, 500, 600), (30, 425, 500), (25, 350, 425)]


@pytest.mark.parametrize(("level", "supply", "back"), OPENINGS)
def test_speeds_through_free_openings(check, level, supply, back):
    """At the handbook's speeds the other table gives the handbook's criterion within 2."""
    for side, speed in (("supply", supply), ("return", back)):
        check(
            formula="noise criterion",
            source="ashrae-applications",
            place="fastest air through free openings",
            case=f"{side}, {speed} fpm",
            says=level,
            got=noise.criterion(to_si(float(speed), "fpm"), side),
            unit="NC",
            abs=2.0,
            status="memory",
        )


def test_rooms_of_homes(check):
    """Residences: NC 25 to 35."""
    found = noise.room_guidance("Living room")
    for end, says, got in (("low", 25.0, found.low), ("high", 35.0, found.high)):
        check(
            formula="room noise",
            source="ashrae-applications",
            place="design guidelines for residences",
            case=f"{end} end",
            says=says,
            got=got,
            unit="NC",
            abs=1.0,
            status="memory",
        )
