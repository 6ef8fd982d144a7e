"""The application that the prompt runs: its name, its own options, and every command of it."""

from __future__ import annotations

from typing import Annotated

import typer

from inchwater.cli.airflow import airflow
from inchwater.cli.describe import describe
from inchwater.cli.forecast import forecast
from inchwater.cli.jobs import findings, reading
from inchwater.cli.next_reading import next_reading
from inchwater.cli.offers import offers
from inchwater.cli.others import demo, schema, serve
from inchwater.cli.rehearse import rehearse
from inchwater.cli.step import step

app = typer.Typer(
    name="inchwater",
    help="Why an installed forced-air system moves too little air, and what a change would do.",
    add_completion=False,
    pretty_exceptions_enable=False,
)


def _version(wanted: bool) -> None:
    if wanted:
        from inchwater import __version__

        print(__version__)
        raise typer.Exit


@app.callback()
def inchwater(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
    trace: Annotated[
        bool, typer.Option("--trace", help="On a fault of the program, print where it arose.")
    ] = False,
) -> None:
    """Give the commands of the prompt something to hang on; both options act before any of them."""


app.command()(airflow)
app.command()(describe)
app.command()(reading)
app.command()(findings)
app.command()(forecast)
app.command("next-reading")(next_reading)
app.command("options")(offers)
app.command()(step)
app.command()(schema)
app.command()(demo)
app.command()(rehearse)
app.command()(serve)
