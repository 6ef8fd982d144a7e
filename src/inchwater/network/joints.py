"""Where air divides and joins: which loss by flow ratio a branch has at its trunk."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate

from inchwater.network.build import Bench, assumed
from inchwater.network.elements import Parameter, Tee
from inchwater.network.pieces import Sized, family_of, feature_of, named, scatter
from inchwater.parts import fittings, tees
from inchwater.parts.sections import Section
from inchwater.survey import Branch


@dataclass(frozen=True, slots=True)
class Joint:
    """A trunk that branches leave: its path of edges, its section, those of its branches."""

    path: tuple[int, ...]
    section: Section
    branches: tuple[Section, ...] = ()


def tee_piece(
    bench: Bench,
    base: str,
    keys: tuple[str, ...],
    size: Sized,
    renewed: Mapping[str, str],
    family: str,
    above: Joint | None,
    left: float = 1.0,
) -> tuple[Tee | None, tuple[str, ...]]:
    """The tee among a branch's fittings, and the fittings without it.

    A tee on a branch that leaves no trunk stays among them, with the loss it has at equal
    velocities.  ``left`` is the part of the trunk's air that other take-offs have left for it.
    """
    law_key = next((fittings.fitting(key).tee for key in keys if fittings.fitting(key).tee), None)
    if above is None or law_key is None:
        return None, keys
    at = next(i for i, key in enumerate(keys) if fittings.fitting(key).tee)
    found, law = fittings.fitting(keys[at]), tees.tee(law_key)
    # A leg that goes straight on feels what leaves it: the largest of the others.
    others = [one.area for one in above.branches if one != size.section]
    branch = size.section.area if law.leg == "branch" or not others else max(others)
    ratio = branch / above.section.area
    bench.note(base, law.beyond(ratio))
    feature = feature_of(keys[at], renewed)
    role, sigma = scatter(feature, law.sigma_ln)
    parameter = Parameter(
        name=named(base, feature, renewed) + ":tee",
        role=role,
        sigma=sigma,
        median=found.median,
        family=family_of(family, feature, renewed),
    )
    curve = _curve(law_key, ratio, left)
    # A leg that goes straight on has nothing to lose while all air takes it.
    anchor = curve[0] if law.leg == "branch" else 0.0
    tee = Tee(curve, above.section.area, ((bench.unknown(parameter), 1.0),), anchor)
    return tee, (*keys[:at], *keys[at + 1 :])


@lru_cache(maxsize=1024)
def _curve(law_key: str, ratio: float, left: float) -> tuple[float, ...]:
    """The loss of a tee by flow ratio, kept because the same ones come in every variant."""
    return tuple(float(k) for k in tees.tee(law_key).curve(ratio, remaining=left))


def remaining(branches: Sequence[Branch], joint: Joint) -> list[float]:
    """What of a trunk's air still passes each of its branches, by the sizes of all. [-]

    Take-offs leave in the order of the survey; a trunk that goes on begins at the last of them.
    """
    power = assumed("trunk-share-exponent")
    weights = [one.area**power for one in joint.branches]
    runs = [i for i, one in enumerate(branches) if not one.is_trunk]
    gone = dict(zip(runs, accumulate((weights[i] for i in runs), initial=0.0), strict=False))
    last = gone[runs[-1]] if runs else 0.0
    total = float(sum(weights))
    return [1.0 - gone.get(at, last) / total for at in range(len(branches))]
