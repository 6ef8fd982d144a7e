"""What every command shares: how it is started, how it speaks, and how it fails.

With ``--json`` exactly one document goes to standard output, an error too; without it people read
words.  Bad input ends with exit code 2 and never with a trace; a fault of our own ends with 1.
"""

from __future__ import annotations

import json
import os
import re
import sys
import traceback
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import typer

from inchwater.errors import ConvergenceError, DoubtError, InchwaterError, InputError

if TYPE_CHECKING:
    from rich.console import Console

BAD_INPUT, OWN_FAULT, INTERRUPTED = 2, 1, 130
# Typer carries its own copy of click in some versions and uses the real one in others.
_NO_COMMAND = re.compile(r"[Nn]o such command '(.*?)'")
_BESIDE = re.compile(r"\.([^/\\]+)\.[0-9]+\.part$")
_EXTRA = re.compile(r"[Uu]nexpected extra argument\S* \((.*?)\)")
UsageError: type[Exception] = typer.BadParameter.__bases__[0]


class FaultError(InchwaterError):
    """Something broke inside the program; nothing that was typed is to blame."""


def main() -> NoReturn:
    """Run the command that was typed and end the process with its exit code."""
    sys.exit(run(sys.argv[1:]))


def run(arguments: Sequence[str]) -> int:
    """Run one command line and give its exit code.

    Parameters
    ----------
    arguments : sequence of str
        What stands after ``inchwater``.

    Returns
    -------
    int
        0 when done, 2 on bad input, 1 on a fault of the program. [-]
    """
    for stream in (sys.stdout, sys.stderr):
        # A terminal that cannot show "·" must not turn an answer into an error.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    as_json = "--json" in arguments
    try:
        return _command(list(arguments) or ["--help"])
    except BrokenPipeError:
        # The reader of a pipe has gone; nothing is left to say and nowhere to say it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return OWN_FAULT
    except KeyboardInterrupt:
        return INTERRUPTED
    except InchwaterError as error:
        if not error.do:
            command = next((word for word in arguments if not word.startswith("-")), "")
            error.do = f"Correct it and run it again; {_help(f'inchwater {command}'.strip())}"
        return _fail(error, as_json)
    except Exception as error:
        if "--trace" in arguments:
            traceback.print_exc(file=sys.stderr)
        return _fail(_own_fault(error), as_json)


def _command(arguments: list[str]) -> int:
    """Run it, with every failure that is not a fault of the program in the form of ours."""
    from inchwater.cli.commands import app

    try:
        result = typer.main.get_command(app).main(
            arguments, prog_name="inchwater", standalone_mode=False
        )
        return result if isinstance(result, int) else 0
    except UsageError as error:
        raise _usage(error) from error
    except typer.Exit as error:
        return error.exit_code
    except typer.Abort:
        return INTERRUPTED
    except BrokenPipeError:
        raise
    except OSError as error:
        raise _file_error(error) from error


def document(content: dict[str, Any]) -> None:
    """Print the one JSON document of a command."""
    print(json.dumps(content, indent=1, allow_nan=False))


def console(stderr: bool = False) -> Console:
    """Where people read: plain when there is no terminal, 80 columns when nothing says more.

    ``stderr`` is for what is said while something is worked out.
    """
    from rich.console import Console

    return Console(highlight=False, markup=False, emoji=False, stderr=stderr)


def one_of(option: str, typed: str | None, choices: Sequence[str]) -> str | None:
    """A word that must be one of a few; None stays None.

    Raises
    ------
    InputError
        If it is another word; the text lists the choices.
    """
    if typed is None or typed in choices:
        return typed
    raise InputError(
        where=option,
        came=repr(typed),
        right=f"it is one of {', '.join(choices)}",
        do="Type one of them, or leave the option out if it is not known.",
    )


@contextmanager
def named(names: Mapping[str, str]) -> Iterator[None]:
    """Say an option's own name in an error instead of the path that it became in the job.

    Parameters
    ----------
    names : mapping of str to str
        The option of each path, or of the start of a path; the longest that fits counts.
    """
    try:
        yield
    except InchwaterError as error:
        error.where = option_of(error.where, names)
        raise


def option_of(where: str, names: Mapping[str, str]) -> str:
    """The option that a path came from; the path itself where none is named for it."""
    for path in sorted(names, key=len, reverse=True):
        if where == path or where.startswith((f"{path}.", f"{path}[")):
            return names[path]
    return where


def new_file(option: str, path: Path) -> None:
    """Refuse a path into a folder that is not there, before anything is written."""
    if not path.parent.is_dir():
        raise InputError(
            where=option,
            came=str(path),
            right="a file in a folder that is there is wanted",
            do="Make the folder first, or choose another.",
        )


def _fail(error: InchwaterError, as_json: bool) -> int:
    code = OWN_FAULT if isinstance(error, FaultError | ConvergenceError) else BAD_INPUT
    if as_json:
        document(error.to_dict())
        return code
    print(str(error), file=sys.stderr)
    if isinstance(error, DoubtError) and error.keep:
        print("Type what is right, or add --keep to use it as typed.", file=sys.stderr)
    return code


def _usage(error: Exception) -> InputError:
    """What the parser of options found wrong, in the four fields of every error."""
    context = getattr(error, "ctx", None)
    path = context.command_path if context else "inchwater"
    do = _help(path)
    parameter = getattr(error, "param", None)
    option = getattr(error, "option_name", None)
    message = str(getattr(error, "message", "") or error).strip().rstrip(".")
    if parameter is not None and type(error).__name__ == "MissingParameter":
        right = _lower((parameter.help or "it is needed").strip().rstrip("."))
        return InputError(where=_name(parameter), came="nothing", right=f"needed: {right}", do=do)
    close = sorted(getattr(error, "possibilities", None) or ())
    if option is not None and "requires" in message:
        return InputError(where=option, came="nothing", right="a value is wanted behind it")
    if option is not None and type(error).__name__ != "NoSuchOption":
        return InputError(where=option, came="what was typed", right=_lower(message), do=do)
    if option is not None:
        right = f"did you mean {' or '.join(close)}" if close else "there is no such option"
        return InputError(where=path, came=option, right=right, do=do)
    command = _NO_COMMAND.search(message)
    if command is not None:
        right = (
            "the commands are airflow, describe, reading, findings, forecast, next-reading, "
            "options, step, schema, demo, rehearse, serve"
        )
        return InputError(where=path, came=repr(command[1]), right=right, do=do)
    extra = _EXTRA.search(message)
    if extra is not None:
        right = "there is nothing more to say than the options"
        return InputError(where=path, came=repr(extra[1]), right=right, do=do)
    where = _name(parameter) if parameter is not None else path
    return InputError(where=where, came="what was typed", right=_lower(message), do=do)


def _name(parameter: Any) -> str:
    """An option as it is typed, an argument as the help names it."""
    option: str = parameter.opts[0]
    return option if option.startswith("-") else str(parameter.metavar or parameter.name)


def _help(path: str) -> str:
    return f"'{path} --help' shows what it takes."


def _file_error(error: OSError) -> InputError:
    reason = (error.strerror or type(error).__name__).lower()
    # A file is written beside itself first; nobody knows that name.
    return InputError(
        where=_BESIDE.sub(r"\1", str(error.filename or "file")),
        came=f"'{reason}'",
        right="a file that can be read, in a folder that can be written to, is wanted",
        do="Check the path and who may use it.",
    )


def _own_fault(error: Exception) -> FaultError:
    return FaultError(
        where="inchwater",
        came=f"{type(error).__name__}: {error}",
        right="this is a fault of the program, not of what was typed",
        do="Run 'inchwater --trace ...' again and send what it prints with the job file.",
    )


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]
