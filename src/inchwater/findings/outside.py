"""Parts that are outside the range they are known for: their figures are guesses, and say so.

A part's size is judged where the network is compiled; how fast air passes it is known only once
the system is solved.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from inchwater.findings.labels import part_label
from inchwater.findings.types import Outside
from inchwater.network.compile_unit import wetness
from inchwater.parts import coils, filters, terminals
from inchwater.quantity import Estimate

if TYPE_CHECKING:
    from inchwater.forecast import Prediction
    from inchwater.survey.job import Survey


def outside(found: Prediction, survey: Survey) -> tuple[Outside, ...]:
    """What the parts of a system say that are outside their range, in the air's order.

    Parameters
    ----------
    found : Prediction
        The system, solved.
    survey : Survey
        Where the parts' sizes and rooms stand.

    Returns
    -------
    tuple of Outside
        One for each part and sentence; the same sentence of several parts once, with all of them.
    """
    said: dict[str, list[str]] = {}
    for key, sentences in found.network.beyond.items():
        for sentence in sentences:
            said.setdefault(sentence, []).append(key)
    for key, sentence in _by_flow(found, survey):
        said.setdefault(sentence, []).append(key)
    return tuple(
        Outside(tuple(keys), tuple(part_label(_part(key), survey) or key for key in keys), sentence)
        for sentence, keys in said.items()
    )


def _part(key: str) -> str:
    """The key of the part that a note is about: ``run:r1`` of ``run:r1:zone``."""
    kind, _, rest = key.partition(":")
    if kind == "return":
        return f"{key}:duct" if rest not in ("leak",) else key
    return f"{kind}:{rest.partition(':')[0]}" if rest and rest != "leak" else key


def _by_flow(found: Prediction, survey: Survey) -> list[tuple[str, str]]:
    """What filters, coil, registers and grilles say at the airflow that passes them."""
    sentences: list[tuple[str, str | None]] = []

    def flow(key: str) -> float | None:
        passing = found.solution.part_flow.get(key)
        if passing is None:
            return None
        return Estimate.of(np.asarray(passing), found.weights, "airflow").value

    for one in survey.filters or ():
        air = flow(f"filter:{one.id}")
        if air is not None and one.width is not None and one.height is not None:
            sentence = filters.beyond(air, one.width.si, one.height.si, one.count)
            sentences.append((f"filter:{one.id}", sentence))
    for coil in survey.coils or ():
        air = flow(f"coil:{coil.id}")
        if air is not None:
            wet = wetness(found.network.state) == "wet"
            capacity = survey.unit.capacity.si
            sentences.append((f"coil:{coil.id}", coils.beyond(air, capacity, wet)))
    registers = [
        (f"register:{run.id}", f"register:{run.id}", run.duct.register, terminals.register)
        for run in (survey.supply.runs if survey.supply else ())
    ]
    grilles = [
        (f"return:{back.id}", f"return:{back.id}:grille", back.grille, terminals.grille)
        for back in survey.returns or ()
    ]
    for key, part, face, kind_of in (*registers, *grilles):
        air = flow(part)
        if air is not None and face is not None and face.width and face.height:
            speed = air / (face.width.si * face.height.si)
            sentences.append((key, terminals.beyond(kind_of(face.kind), speed)))
    return [(key, sentence) for key, sentence in sentences if sentence is not None]
