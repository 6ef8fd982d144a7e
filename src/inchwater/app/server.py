"""``serve``: migrate, make the local firm, load the invented houses, warm up, and answer requests.

What can go wrong at the start (port taken, folder not writable, database not there) raises an
InchwaterError before anything is served; the prompt prints it and exits with 2.
"""

from __future__ import annotations

import errno
import ipaddress
import logging
import os
import socket
import sys
import threading
import webbrowser
from contextlib import suppress
from typing import TYPE_CHECKING

from inchwater.errors import InchwaterError, InputError, NotPossibleError

if TYPE_CHECKING:
    from collections.abc import Callable

    from uvicorn import Server

_BACKLOG = 128


def serve(
    host: str = "127.0.0.1",
    port: int = 8000,
    demo: bool = True,
    open_browser: bool = False,
    say: Callable[[str], None] = print,
) -> None:
    """Serve the pages until interrupted.

    Parameters
    ----------
    host : str
        Address to listen on; without sign-in only a loopback address.
    port : int
        Port to listen on; 0 is any free one.
    demo : bool
        Whether to put the invented houses in, once.
    open_browser : bool
        Whether to open the start page in a browser.
    say : callable
        Prints one line for the person at the prompt.

    Raises
    ------
    InputError
        If the port is taken, the address is none of this machine, or the records cannot be kept.
    NotPossibleError
        If the address would let others in without sign-in.
    """
    prepare(demo)
    refuse_others(host)
    listening = listen(host, port)
    address = f"http://{_in_url(host)}:{listening.getsockname()[1]}/"
    with listening:
        server = _server()
        threading.Thread(target=_warm, name="warm-up", daemon=True).start()
        for line in greeting(address, demo):
            say(line)
        if open_browser:
            webbrowser.open(address)
        # uvicorn ends what it is answering and may, or may not, raise the interrupt again.
        with suppress(KeyboardInterrupt):
            server.run(sockets=[listening])
        say("Stopped. The records are kept.")


def prepare(demo: bool) -> None:
    """Set Django up, bring the database to its present form, make the local firm, load demos.

    Raises
    ------
    InputError
        If the data folder cannot be written in, or the database does not answer.
    """
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "inchwater.app.settings")
    import django
    from django.conf import settings
    from django.core.management import call_command
    from django.db import DatabaseError

    from inchwater.app.data_folder import made

    made()
    django.setup()
    try:
        call_command("migrate", verbosity=0, interactive=False)
        if settings.LOCAL_MODE:
            from inchwater.app.firms.services import make_local_firm
            from inchwater.app.visits.services import load_demos

            firm, user = make_local_firm()
            if demo:
                load_demos(firm, user)
    except DatabaseError as error:
        raise InputError(
            where="the database",
            came=str(error).strip().splitlines()[0] if str(error).strip() else "no answer",
            right="records are kept in SQLite in the data folder, or in PostgreSQL",
            do="Check INCHWATER_DATA and INCHWATER_DATABASE_URL, and that the disk is not full.",
        ) from error


def refuse_others(host: str) -> None:
    """Refuse an address that other machines reach while nobody has to sign in."""
    from django.conf import settings

    if not settings.LOCAL_MODE or host == "localhost":
        return
    try:
        alone = ipaddress.ip_address(host).is_loopback
    except ValueError:
        alone = False
    if not alone:
        raise NotPossibleError(
            where="--host",
            came=host,
            right="nobody signs in here, so only this machine may reach it: 127.0.0.1 or ::1",
            do="Leave --host out.",
        )


def listen(host: str, port: int) -> socket.socket:
    """A socket that listens; InputError in words where it cannot."""
    try:
        found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    except OSError as error:
        raise InputError(
            where="--host",
            came=host,
            right="an address of this machine is wanted",
            do="Leave --host out.",
        ) from error
    listening = socket.socket(found[0], socket.SOCK_STREAM)
    try:
        if sys.platform != "win32":
            # A port that was just left may be taken again at once; a used one may not.
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(found[4])
        listening.listen(_BACKLOG)
    except OSError as error:
        listening.close()
        raise _cannot_listen(error, host, port) from error
    return listening


def _cannot_listen(error: OSError, host: str, port: int) -> InputError:
    if error.errno == errno.EADDRINUSE:
        return InputError(
            where="--port",
            came=f"{port}, which another program uses",
            right="a free port is wanted",
            do=f"Stop that program, or start with --port {port + 1 if port < 65535 else 8000}.",
        )
    if error.errno == errno.EACCES:
        return InputError(
            where="--port",
            came=f"{port}, which needs an administrator",
            right="ports from 1024 up are free to use",
            do="Start with --port 8000.",
        )
    return InputError(
        where="--host",
        came=host,
        right=f"an address of this machine is wanted ({error.strerror})",
        do="Leave --host out.",
    )


def greeting(address: str, demo: bool) -> tuple[str, ...]:
    """What the person at the prompt reads: the address, and what to try first."""
    first = (
        "Try first: open “Attic heat pump”, read its findings, then ask What if."
        if demo
        else "Try first: New reading. Capacity and two pressures give a first answer."
    )
    return (f"Inchwater is at {address}", first, "Nobody else can reach it. Stop with Ctrl+C.")


def _server() -> Server:
    import uvicorn

    config = uvicorn.Config(
        "inchwater.app.asgi:application",
        log_level="warning",
        lifespan="off",
        # The peer's address is what lets a request in, so no header may stand in for it.
        proxy_headers=False,
        server_header=False,
    )
    return uvicorn.Server(config)


def _warm() -> None:
    """Load the engine and the drawings before the first person waits for them."""
    from inchwater import reports
    from inchwater.answer import answer
    from inchwater.rehearsal import demos

    try:
        found = answer(demos()["a"], 1)
        for draw in (reports.interval, reports.path, reports.budget, reports.curves):
            draw(found)
    except InchwaterError:
        # The pages say in words what an answer lacks; the start must not fail on it.
        logging.getLogger("inchwater.app").exception("the warm-up failed")


def _in_url(host: str) -> str:
    return f"[{host}]" if ":" in host else host
