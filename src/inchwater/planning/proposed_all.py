"""What is done to many parts at once, and the rest: boots, the plenum, insulation.

A house whose every run is too small is not mended by four of them.  The parts of a group keep the
changes that they have by themselves, so that they scatter alike in all company.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from inchwater import units
from inchwater.planning.proposed import (
    Idea,
    State,
    branches_of,
    enlarged,
    larger_register,
    named,
    one,
    seen,
)
from inchwater.planning.proposed_more import larger_return
from inchwater.survey import Branch, Survey
from inchwater.survey.change_work import is_boot, is_take_off

_LARGER = (1.0, 2.0)  # inches that every run is enlarged by
_BETTER_TAKE_OFF = "take-off-tapered"
_POOR_TAKE_OFFS = ("take-off-straight", "take-off-projecting", "take-off-elbow")
_BOOT = "boot-box"
_POOR_BOOTS = ("boot-angle-tight", "boot-straight-tight", "boot-box-tight", "boot-angle")
_FEW = 3
# What a code asks of ducts outside the conditioned space, and what they are wrapped to.
_LEAST_R, _WRAPPED_R = 6.0, 8.0
_OUTSIDE = ("attic", "crawlspace", "garage", "roof")


def together(key: str, label: str, ideas: Sequence[Idea]) -> Idea:
    """Several ideas made together, as one."""
    changes = tuple(change for idea in ideas for change in idea.changes)
    features = tuple(dict.fromkeys(name for idea in ideas for name in idea.replaces))
    return Idea(key, label, changes, features)


def _all_runs(survey: Survey, state: State) -> Iterator[Idea]:
    """Every run larger, and the half of them that resists most."""
    runs = [b for b in branches_of(survey) if b.duct.diameter is not None and not b.is_trunk]
    if len(runs) < _FEW:
        return
    half = (len(runs) + 1) // 2
    for inches in _LARGER:
        word = "an inch" if inches == 1.0 else f"{inches:g} inches"
        for which, some in (("all", runs), ("half", runs[:half])):
            words = (
                f"all {len(some)} runs" if which == "all" else f"the {half} runs that resist most"
            )
            made = [enlarged(run, inches) for run in some]
            yield together(f"enlarge:{which}:{inches:g}", f"{words} enlarged by {word}", made)


def _all_trunks(survey: Survey, state: State) -> Iterator[Idea]:
    trunks = [b for b in branches_of(survey) if b.is_trunk and b.duct.diameter is not None]
    if len(trunks) > 1:
        made = [enlarged(trunk, 2.0) for trunk in trunks]
        yield together("enlarge:trunks", f"all {len(trunks)} trunks enlarged by 2 inches", made)


def _all_registers(survey: Survey, state: State) -> Iterator[Idea]:
    made = [idea for run in branches_of(survey) if (idea := larger_register(run)) is not None]
    if len(made) >= _FEW:
        yield together("register:all", f"all {len(made)} registers larger", made)


def _all_returns(survey: Survey, state: State) -> Iterator[Idea]:
    made = [idea for back in survey.returns or () if (idea := larger_return(back)) is not None]
    if len(made) > 1:
        label = f"all {len(made)} return ducts enlarged by 2 inches"
        yield together("return-duct:all", label, made)


def _boots(survey: Survey, state: State) -> Iterator[Idea]:
    runs = [b for b in branches_of(survey) if not b.is_trunk]
    poor = [(b, key) for b in runs for key in b.duct.fittings or () if key in _POOR_BOOTS]
    if not any(is_boot(key) for b in runs for key in b.duct.fittings or ()):
        why = "Which boots stand behind the registers is not in the survey."
        yield Idea("boot", "another boot", impossible=why)
        return
    poor.sort(key=lambda row: _POOR_BOOTS.index(row[1]))
    made = [_boot(run) for run, _ in poor]
    if len(made) >= _FEW:
        yield together("boot:all", f"all {len(made)} narrow boots exchanged", made)
    yield from made[:_FEW]


def _boot(run: Branch) -> Idea:
    label = f"the boot of {named(run)} exchanged for a box boot"
    return one(f"boot:{run.id}", label, "boot", (run.id,), {"into": _BOOT})


def _plenum(survey: Survey, state: State) -> Iterator[Idea]:
    """A new plenum gains by its take-offs alone."""
    if survey.supply is None:
        return
    label = "a new supply plenum with tapered take-offs"
    leaving = [
        (b, b.duct.fittings or survey.supply.run_like.fittings) for b in survey.supply.branches
    ]
    if not any(is_take_off(key) for _, keys in leaving for key in keys or ()):
        yield Idea("plenum", label, impossible="The take-offs on the plenum are not in the survey.")
        return
    poor = [b.id for b, keys in leaving if any(key in _POOR_TAKE_OFFS for key in keys or ())]
    if not poor:
        yield Idea("plenum", label, impossible="Its take-offs are tapered already.")
        return
    made = one("plenum", label, "plenum", (survey.supply.id,), {"into": _BETTER_TAKE_OFF})
    features = ("plenum", *(f"fitting:{id_}" for id_ in poor))
    yield Idea(made.key, made.label, made.changes, features)


def _insulation(survey: Survey, state: State) -> Iterator[Idea]:
    key, label = "insulate", f"the ducts wrapped to R-{_WRAPPED_R:g}"
    if survey.place.space not in _OUTSIDE:
        return
    ducts = {b.id: b.duct for b in branches_of(survey)}
    ducts |= {back.id: back.duct for back in survey.returns or ()}
    known = {id_: duct.insulation for id_, duct in ducts.items() if duct.insulation is not None}
    if not known:
        yield Idea(key, label, impossible="How the ducts are insulated is not in the survey.")
        return
    thin = [
        id_ for id_, fact in known.items() if units.from_si(fact.si, "rvalue") < _LEAST_R - 0.05
    ]
    if not thin:
        why = f"What is known of them is wrapped to R-{_LEAST_R:g} or more."
        yield Idea(key, label, impossible=why)
        return
    made = one(key, label, "insulate", tuple(thin), {"insulation": seen(_WRAPPED_R, "rvalue")})
    yield Idea(
        made.key, f"{len(thin)} ducts wrapped to R-{_WRAPPED_R:g}", made.changes, made.replaces
    )


AT_ONCE: tuple[Callable[[Survey, State], Iterator[Idea]], ...] = (
    _all_runs,
    _all_trunks,
    _all_registers,
    _all_returns,
    _boots,
    _plenum,
    _insulation,
)
