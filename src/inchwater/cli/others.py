"""``schema``, ``demo`` and ``serve``: the form of a job file, three invented houses, the pages."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from inchwater.cli import frame, options
from inchwater.errors import InputError

if TYPE_CHECKING:
    from inchwater.survey import Job


def schema(as_json: options.Json = False) -> None:
    """Print the JSON Schema of a job file."""
    from inchwater import survey

    frame.document(survey.schema())


def demo(
    house: Annotated[
        str | None, typer.Argument(metavar="[a|b|c]", help="Which house; none lists them.")
    ] = None,
    save: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write the house's job file here.")
    ] = None,
    tree: options.Tree = False,
    si: options.Si = False,
    seed: options.Seed = None,
    as_json: options.Json = False,
) -> None:
    """Show an invented house with one cause: its readings, and what Inchwater finds in it."""
    from inchwater.rehearsal import demos

    jobs = demos()
    if house is None:
        if save is not None:
            raise InputError(
                where="--save",
                came=str(save),
                right="one house is written at a time",
                do="Say which: 'inchwater demo a --save FILE'.",
            )
        _list(jobs, as_json)
        return
    letter = frame.one_of("house", house.lower(), tuple(jobs))
    job = jobs[str(letter)]
    if save is not None:
        from inchwater import survey

        frame.new_file("--save", save)
        survey.save(job, save)
    from inchwater.cli.jobs import show_findings

    show_findings(job, tree=tree, si=si, seed=seed, as_json=as_json)
    if save is not None and not as_json:
        frame.console().print(f"Saved in {save}. Try: inchwater forecast {save} --help")


def serve(
    host: Annotated[str, typer.Option(help="Address to listen on.")] = "127.0.0.1",
    port: Annotated[
        str, typer.Option(metavar="PORT", help="Port to listen on; 0 is any free one.")
    ] = "8000",
    demo: Annotated[
        bool, typer.Option("--demo/--no-demo", help="Put the three invented houses in.")
    ] = False,
    open_browser: Annotated[bool, typer.Option("--open", help="Open a browser.")] = False,
    as_json: options.Json = False,
) -> None:
    """Serve the pages on this machine, with records in a database of its own."""
    if not (port.isdecimal() and int(port) < 65536):
        raise InputError(
            where="--port",
            came=repr(port),
            right="a port is 1 to 65535, or 0 for any free one",
            do="Leave it out for port 8000.",
        )
    from inchwater.app.server import serve as run

    spoken: list[str] = []

    def say(line: str) -> None:
        if as_json and not spoken:
            # The first line has the address; a program that started the pages waits for it.
            frame.document({"sentence": line})
            sys.stdout.flush()
        else:
            print(line, file=sys.stderr if as_json else sys.stdout, flush=True)
        spoken.append(line)

    run(host=host, port=int(port), demo=demo, open_browser=open_browser, say=say)


def _list(jobs: dict[str, Job], as_json: bool) -> None:
    if as_json:
        frame.document(
            {
                "demos": [
                    {
                        "id": letter,
                        "name": job.name,
                        "complaint": job.complaint,
                        "readings": {
                            one.at if one.quantity == "static" else one.quantity: {
                                "typed": one.typed,
                                "unit": one.unit,
                            }
                            for one in job.trials[0].in_force
                        },
                    }
                    for letter, job in jobs.items()
                ]
            }
        )
        return
    out = frame.console()
    out.print("Three invented houses, one cause each. 'inchwater demo a' shows what is found.\n")
    for letter, job in jobs.items():
        out.print(f"{letter}  {job.name}: {job.complaint}")
