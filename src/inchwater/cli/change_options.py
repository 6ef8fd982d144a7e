"""Changes as they are typed at the prompt, made into the job's own changes.

Sizes are inches and lengths feet unless a unit is typed with them: ``R1=200 mm``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import count
from typing import TYPE_CHECKING, Any

from inchwater.cli import change_words as words
from inchwater.cli import frame
from inchwater.cli import typed as parse
from inchwater.cli.work_options import MAKERS, section
from inchwater.errors import FormatError, InputError

if TYPE_CHECKING:
    from inchwater.survey import Change, Job, Survey


@dataclass(frozen=True, slots=True)
class Typed:
    """The options of ``forecast`` that stand for changes, each as often as it was typed.

    ``work`` holds those of :data:`work_options.MAKERS` by their names.
    """

    change: Sequence[str] = ()
    filter: Sequence[str] = ()
    grille: Sequence[str] = ()
    add_return: Sequence[str] = ()
    enlarge: Sequence[str] = ()
    tighten: Sequence[str] = ()
    add_run: Sequence[str] = ()
    fitting: Sequence[str] = ()
    register: Sequence[str] = ()
    tap: Sequence[str] = ()
    work: Mapping[str, Sequence[str]] = field(default_factory=dict)
    nothing: bool = False


@dataclass
class _Maker:
    job: Job
    made: list[Change] = field(default_factory=list)
    options: dict[str, str] = field(default_factory=dict)

    def add(self, option: str, kind: str, targets: Sequence[str], to: Mapping[str, Any]) -> None:
        from inchwater.survey import Change

        known = {one.id for one in (*self.job.changes, *self.made)}
        id_ = next(f"ch{n}" for n in count(1) if f"ch{n}" not in known)
        self.made.append(Change(id_, kind, tuple(targets), dict(to)))
        self.options[id_] = option

    def new_part(self, letter: str) -> str:
        known = {*self.job.survey.part_ids, *(str(one.to.get("id")) for one in self.made)}
        return next(f"{letter}{n}" for n in count(1) if f"{letter}{n}" not in known)


def changes_of(job: Job, typed: Typed) -> tuple[Change, ...]:
    """The changes that were typed, ready to be applied to the job's survey.

    Parameters
    ----------
    job : Job
        What the changes are done to; new parts get ids that it does not have yet.
    typed : Typed
        The options.

    Returns
    -------
    tuple of Change
        Checked by applying each after the other.

    Raises
    ------
    InchwaterError
        If one cannot be read, names a part that is not there, or cannot be done.
    """
    from inchwater.survey import CALLS, apply

    maker = _Maker(job)
    for text in typed.change:
        _json(maker, text)
    for text in typed.filter:
        _filter(maker, text)
    for text in typed.grille:
        targets, size = words.target("--grille", text, "g1=20x30")
        maker.add("--grille", "grille", targets, words.size("--grille", size))
    for text in typed.add_return:
        _add_return(maker, text)
    for text in typed.enlarge:
        targets, size = words.target("--enlarge", text, "r1=8")
        maker.add("--enlarge", "enlarge-run", targets, section("--enlarge", size))
    for text in typed.tighten:
        runs = _flex_runs(job.survey) if text == "all" else words.ids(text)
        maker.add("--tighten", "tighten-run", runs, {})
    for text in typed.add_run:
        _add_run(maker, text)
    for text in typed.fitting:
        _fitting(maker, text)
    for text in typed.register:
        targets, size = words.target("--register", text, "r1=6x12")
        maker.add("--register", "register", targets, words.size("--register", size))
    for text in typed.tap:
        call, equals, tap = text.partition("=")
        calls = equals and call.strip() in CALLS
        target = call.strip() if calls else "unit"
        maker.add("--tap", "tap", (target,), {"tap": tap.strip() if calls else text})
    for option, texts in typed.work.items():
        for text in texts:
            kind, where, to = MAKERS[option](text, job.survey, maker.new_part)
            maker.add(option, kind, where, to)
    if typed.nothing:
        maker.add("--nothing", "nothing", (), {})
    survey = job.survey
    for change in maker.made:
        option = maker.options[change.id]
        with frame.named({f"changes.{change.id}": option, "survey": option}):
            survey = apply(survey, change)
    return tuple(maker.made)


def pulled(job: Job, typed: Sequence[str]) -> dict[str, str]:
    """The condition in which runs are pulled off their collars: ``{"run:r1": "pulled-open"}``."""
    found = {}
    for text in typed:
        targets, how = words.target("--pull", text, "r1=open")
        if how not in ("open", "capped"):
            raise InputError(
                where="--pull",
                came=repr(how),
                right="the collar of a pulled run is open or capped",
                do="Type r1=open or r1=capped.",
            )
        runs = [] if job.survey.supply is None else [one.id for one in job.survey.supply.runs]
        for target in targets:
            if target not in runs:
                raise InputError(
                    where="--pull",
                    came=repr(target),
                    right=f"the runs are {', '.join(runs)}" if runs else "no run is known yet",
                    do="Name one of the runs of this job.",
                )
            found[f"run:{target}"] = f"pulled-{how}"
    return found


def _json(maker: _Maker, text: str) -> None:
    from inchwater.survey import Fact, How
    from inchwater.survey.files import parse_document

    try:
        document: Any = parse_document(text)
    except FormatError as trouble:
        if not trouble.where.startswith("job file"):
            raise  # it names a key of what was typed
        document = None  # what is no JSON; there is no file to speak of here
    if not isinstance(document, dict) or "kind" not in document:
        raise InputError(
            where="--change",
            came=repr(text[:60]),
            right='JSON with kind, targets and to, as in {"kind": "tap", "to": {"tap": "5"}}',
            do="'inchwater schema' has the form of a change.",
        )

    def value(one: Any) -> Any:
        if not isinstance(one, dict):
            return tuple(one) if isinstance(one, list) else one
        try:
            how = How(one.get("how", "stated"))
            return Fact(float(one["value"]), str(one["unit"]), how)
        except (KeyError, TypeError, ValueError):
            raise InputError(
                where="--change",
                came=repr(one),
                right="a quantity is {value, unit, how}",
                do="'inchwater schema' has the form of a fact.",
            ) from None

    to = document.get("to", {})
    targets = document.get("targets", [])
    if not isinstance(to, dict) or not isinstance(targets, list):
        raise InputError(
            where="--change",
            came=repr(text[:60]),
            right="targets is a list of ids and to an object",
            do="'inchwater schema' has the form of a change.",
        )
    maker.add(
        "--change",
        str(document["kind"]),
        [str(target) for target in targets],
        {str(key): value(one) for key, one in to.items()},
    )


def _filter(maker: _Maker, text: str) -> None:
    targets, rest = words.target("--filter", text, "f1=20x25:media-4in-merv11")
    to: dict[str, Any] = {}
    for part in rest.split(":"):
        if words.is_size(part):
            to |= words.size("--filter", part)
        elif part.strip():
            to["grade"] = part.strip()
    maker.add("--filter", "filter", targets, to)


def _add_return(maker: _Maker, text: str) -> None:
    parts = words.parts("--add-return", text, (1, 2, 3), "20x20:14:12ft")
    to: dict[str, Any] = {"id": maker.new_part("g"), **words.size("--add-return", parts[0])}
    if len(parts) > 1:
        to["diameter"] = _length("--add-return", parts[1], "in", "duct_diameter")
    if len(parts) > 2:
        to["length"] = _length("--add-return", parts[2], "ft", "duct_length")
    maker.add("--add-return", "add-return", (), to)


def _add_run(maker: _Maker, text: str) -> None:
    text, _, trunk = text.partition("@")
    parts = words.parts("--add-run", text, (2, 3), "6:20ft:10x6")
    maker.add(
        "--add-run",
        "add-run",
        words.ids(trunk) if trunk else (),
        {
            "id": maker.new_part("r"),
            "diameter": _length("--add-run", parts[0], "in", "duct_diameter"),
            "length": _length("--add-run", parts[1], "ft", "duct_length"),
            **(words.size("--add-run", parts[2]) if len(parts) > 2 else {}),
        },
    )


def _fitting(maker: _Maker, text: str) -> None:
    target, colon, rest = text.partition(":")
    old, arrow, new = rest.partition(">")
    if not (colon and arrow and target.strip() and (old.strip() or new.strip())):
        words.unreadable("--fitting", text, "r1:elbow-90-mitred>elbow-90-smooth")
    to = {"from": old.strip(), "into": new.strip()}
    maker.add(
        "--fitting", "fitting", words.ids(target), {key: word for key, word in to.items() if word}
    )


def _flex_runs(survey: Survey) -> list[str]:
    runs = () if survey.supply is None else survey.supply.runs
    return [run.id for run in runs if run.duct.material in ("flex", None)]


def _length(option: str, text: str, unit: str, kind: str) -> Any:
    return parse.length(option, text, unit, kind)
