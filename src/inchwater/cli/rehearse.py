"""``rehearse``: practise on an invented house, typed act by act or given on the command line."""

from __future__ import annotations

import secrets
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from inchwater.cli import frame, options
from inchwater.errors import InchwaterError, InputError

if TYPE_CHECKING:
    from rich.console import Console

    from inchwater.findings import Caution
    from inchwater.rehearsal.practice import Act, Round
    from inchwater.units import System

# Any house when nobody names one: numbers that are short to say again.
_HOUSES = 10_000


def rehearse(
    acts: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[ACT]...",
            help="Acts, each in quotes: 'read supply' wait 'make ch1' done. Without any they are "
            "typed one by one, or come line by line from a pipe; 'help' there lists them.",
        ),
    ] = None,
    seed: Annotated[
        str | None,
        typer.Option(metavar="N", help="The house's number; without it any house."),
    ] = None,
    begun: Annotated[
        Path | None, typer.Option("--from", metavar="FILE", help="Go on with a saved round.")
    ] = None,
    save: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write the round here after each act.")
    ] = None,
    job: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write what was read as a job file at the end."),
    ] = None,
    si: options.Si = False,
    as_json: options.Json = False,
) -> None:
    """Practise on an invented house: read, change at a price, and see how it scores.

    The survey has its errors, displays settle and drift, and what is paid stays paid.  At the end
    the round stands beside the cheapest fix, and what was hidden is told.
    """
    now = _begun(seed, begun)
    for option, path in (("--save", save), ("--job", job)):
        if path is not None and not (path == begun and option == "--save"):
            _new(option, path)
    session = _Session(now, options.system_of(si), save, job, as_json)
    if acts or as_json:
        for line in acts or ():
            session.line(line)
    elif sys.stdin.isatty():
        session.prompt()
    else:
        for line in sys.stdin:
            if line.strip() and not session.left:
                session.line(line)
    session.close()


def _begun(seed: str | None, begun: Path | None) -> Round:
    from inchwater.rehearsal.practice_file import load_round, seed_of
    from inchwater.reports.practice import practice_round

    if begun is None:
        with frame.named({"seed": "--seed"}):
            number = secrets.randbelow(_HOUSES) if seed is None else seed_of(seed)
        return practice_round(number)
    if seed is not None:
        raise InputError(
            where="--seed",
            came=repr(seed),
            right="a saved round has its house already",
            do="Leave --seed or --from out.",
        )
    return practice_round(*load_round(begun))


def _new(option: str, path: Path) -> None:
    if path.exists():
        raise InputError(
            where=option,
            came=str(path),
            right="a file that is there is not written over",
            do="Choose another name.",
        )
    frame.new_file(option, path)


class _Session:
    """One sitting at the prompt: the round, and what was said of it."""

    def __init__(
        self, now: Round, system: System, save: Path | None, job: Path | None, as_json: bool
    ) -> None:
        from inchwater.cli import rehearse_show as show

        self.now = now
        self.system = system
        self.save = save
        self.job = job
        self.as_json = as_json
        self.left = False
        self.told: set[str] = set()
        self.out: Console = frame.console()
        if not as_json:
            show.opening(self.out, now, system)
        self.keep()

    def prompt(self) -> None:
        """Ask for acts until the round is over or the person leaves."""
        from inchwater.cli import rehearse_show as show

        show.survey(self.out, self.now)
        self.out.print("'help' lists what you can type.\n")
        while not (self.left or self.now.ended):
            try:
                line = input("> ")
            except EOFError:
                return
            if not line.strip():
                continue
            try:
                self.line(line)
            except InchwaterError as refused:
                # A refusal is part of the practice; the round stands as it stood.
                self.out.print(str(refused))

    def line(self, line: str) -> None:
        """Do or answer one line."""
        from inchwater.cli.rehearse_words import acts_of

        words = line.split()
        asked = _ASKED.get(words[0].lower()) if words else None
        if asked is not None and self.as_json:
            raise InputError(
                where="--json",
                came=repr(line.strip()),
                right="only acts are wanted; the document holds what can be asked",
                do="Leave it out.",
            )
        if asked is not None:
            asked(self, words[1:])
            return
        for act in acts_of(line, self.now):
            self.act(act)

    def act(self, act: Act) -> None:
        """Do one act, and say what came of it."""
        from inchwater.cli import rehearse_show as show

        before, self.now = self.now, self.now.after(act)
        self.keep()
        if not self.as_json:
            show.cautions(self.out, _cautions(before, act), self.told)
            show.happened(self.out, before, self.now, self.system)

    def keep(self) -> None:
        """Write the round where it is kept."""
        from inchwater.rehearsal.practice_file import save_round

        if self.save is not None:
            save_round(self.save, self.now.seed, self.now.acts)

    def write_job(self, path: Path) -> None:
        """Write what was read as a job file."""
        from inchwater import survey

        survey.save(self.now.job, path)
        if not self.as_json:
            self.out.print(f"Saved in {path}. Try: inchwater findings {path}")

    def close(self) -> None:
        """The score if the round is over, else where it stands."""
        from inchwater.cli import rehearse_show as show

        if self.job is not None:
            self.write_job(self.job)
        if self.as_json:
            frame.document(show.document(self.now, self.system))
            return
        if self.now.ended:
            show.ending(self.out, self.now, self.system)
        else:
            show.state(self.out, self.now)
            if self.save is not None:
                self.out.print(f"'inchwater rehearse --from {self.save}' goes on.")


def _cautions(now: Round, act: Act) -> Iterator[Caution]:
    from inchwater.rehearsal.practice_places import Spot
    from inchwater.reports import practice_words as words

    survey = now.survey
    if act.do == "read" and act.quantity:
        yield from words.cautions_of_group(words.group_of(Spot(act.quantity, act.at, 0.0)), survey)
    elif act.do == "filter-out":
        yield from words.cautions_of_filter(survey)
    elif act.do == "change":
        yield from words.cautions_of_change(now.change(act.at), survey)


# --- what is only asked --------------------------------------------------------------------------


def _ask_goal(session: _Session, rest: list[str]) -> None:
    from inchwater.cli import rehearse_show as show

    show.opening(session.out, session.now, session.system)
    show.state(session.out, session.now)


def _ask_survey(session: _Session, rest: list[str]) -> None:
    from inchwater.cli import rehearse_show as show

    show.survey(session.out, session.now)


def _ask_table(session: _Session, rest: list[str]) -> None:
    from inchwater.cli import show
    from inchwater.reports.practice import blower_table

    show.print_table(session.out, blower_table(session.now.survey, session.system))


def _ask_places(session: _Session, rest: list[str]) -> None:
    from inchwater.cli import rehearse_show as show

    show.places(session.out, session.now)


def _ask_changes(session: _Session, rest: list[str]) -> None:
    from inchwater.cli import rehearse_show as show

    show.changes(session.out, session.now)


def _ask_readings(session: _Session, rest: list[str]) -> None:
    from inchwater.cli import rehearse_show as show

    show.readings(session.out, session.now, session.system)


def _ask_tool(session: _Session, rest: list[str]) -> None:
    from inchwater.cli import rehearse_show as show

    show.tool(session.out, session.now, session.system)


def _ask_job(session: _Session, rest: list[str]) -> None:
    session.write_job(_path("job", rest))


def _ask_save(session: _Session, rest: list[str]) -> None:
    session.save = _path("save", rest)
    session.keep()
    session.out.print(f"Saved in {session.save}, and after each act from now on.")


def _ask_help(session: _Session, rest: list[str]) -> None:
    from inchwater.cli import rehearse_show as show

    show.verbs(session.out)


def _ask_quit(session: _Session, rest: list[str]) -> None:
    session.left = True


def _path(verb: str, rest: list[str]) -> Path:
    if not rest:
        raise InputError(
            where=verb,
            came="no file",
            right="the name of a new file is wanted",
            do=f"Type '{verb} FILE.json'.",
        )
    path = Path(" ".join(rest))
    _new(verb, path)
    return path


_ASKED: dict[str, Callable[[_Session, list[str]], None]] = {
    "goal": _ask_goal,
    "survey": _ask_survey,
    "table": _ask_table,
    "places": _ask_places,
    "changes": _ask_changes,
    "readings": _ask_readings,
    "tool": _ask_tool,
    "job": _ask_job,
    "save": _ask_save,
    "help": _ask_help,
    "?": _ask_help,
    "quit": _ask_quit,
    "exit": _ask_quit,
}
