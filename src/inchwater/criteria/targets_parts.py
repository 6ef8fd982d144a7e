"""Targets of the parts: filters, ducts, registers and grilles."""

from __future__ import annotations

from inchwater.criteria.bounds import Usual, figure, said_by_others, usual
from inchwater.criteria.complaint import is_noisy
from inchwater.criteria.limits import criteria
from inchwater.criteria.maker import Maker, named
from inchwater.effects.of_noise import guidance_of
from inchwater.parts import cavities


def of_filters(maker: Maker) -> None:
    """Face velocity and drop of each filter; the first counts in grilles, as its source says."""
    face, drop = criteria()["filter-face"], criteria()["filter-drop"]
    for one in maker.survey.filters or ():
        for key, quantity, kind, row, words in (
            ("filter-face", "filter_face", "velocity", face, "Air speed at the face of"),
            ("filter-drop", "filter_drop", "pressure", drop, "Drop of"),
        ):
            maker.add(
                key,
                f"{words} filter {one.id}",
                quantity,
                kind,
                maker.wished.bounds(
                    key,
                    kind,
                    Usual(None, row.high, row.cited, row.status, row.note),
                    one.id,
                    others=said_by_others(key, kind),
                ),
                one.id,
                needed=key == "filter-face" and one.at == "grille",
            )


def of_ducts(maker: Maker) -> None:
    """Air speed in each run, trunk and return duct."""
    supply = maker.survey.supply
    for branch, _ in () if supply is None else supply.walk():
        kind = branch.kind
        _velocity(maker, f"{kind}-velocity", f"Air speed in {kind}", branch.id, branch.room)
    for one in maker.survey.returns or ():
        if one.kind != "open" and one.kind not in cavities.CAVITIES:
            _velocity(maker, "return-velocity", "Air speed in the duct of return", one.id)


def of_openings(maker: Maker) -> None:
    """Face velocity and noise of each register and grille, and how much quieter it is to be."""
    supply = maker.survey.supply
    for run in () if supply is None else supply.runs:
        label = "Air speed at the register of"
        _velocity(maker, "register-velocity", label, run.id, run.room)
        _noise(maker, "supply", f"register of {named(run.id, run.room)}", run.id, run.room)
    for one in maker.survey.returns or ():
        if one.kind == "common":
            continue
        if one.filter is None:
            _velocity(maker, "grille-velocity", "Air speed at the grille of return", one.id)
        _noise(maker, "return", f"grille of return {named(one.id, one.room)}", one.id, one.room)


def _velocity(maker: Maker, key: str, label: str, id_: str, room: str | None = None) -> None:
    bounds = maker.wished.bounds(
        key, "velocity", usual(key), id_, others=said_by_others(key, "velocity")
    )
    name = f"{label} {named(id_, room)}"
    quantity, faster = key.replace("-", "_"), figure("faster-than-now")
    maker.add(key, name, quantity, "velocity", bounds, id_, faster=faster)


def _noise(maker: Maker, side: str, name: str, id_: str, room: str | None) -> None:
    held = guidance_of(maker.survey, room)
    known = maker.survey.room_called(room)
    part = None if known is None else known.id
    noise = Usual(None, held.high, held.source, held.status)
    # A complaint is answered where it is clearly softer, whatever the law says of its level.
    louder = figure("louder-than-now")
    if is_noisy(maker.noisy, room, maker.survey):
        louder = -figure("softer-than-now")
    maker.add(
        "noise",
        f"Noise of the {name}",
        f"noise_{side}",
        "noise_criterion",
        maker.wished.bounds("noise", "noise_criterion", noise, part),
        id_,
        louder=louder,
    )
    maker.add(
        "quieter",
        f"How much quieter the {name} becomes",
        f"quieter_{side}",
        "sound_level",
        maker.wished.bounds("quieter", "sound_level", None, part),
        id_,
    )
