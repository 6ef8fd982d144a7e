"""Where the application keeps its database and its secret: one folder, made once, for one person.

``INCHWATER_DATA`` names it; without it, the data folder that the platform has for each user.
"""

from __future__ import annotations

import os
import secrets
import sys
from pathlib import Path

from inchwater.errors import InputError


def data_folder() -> Path:
    """The folder's path; nothing is made."""
    named = os.environ.get("INCHWATER_DATA")
    if named:
        return Path(named).expanduser()
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Application Support"
    else:
        base = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    return base / "inchwater"


def made() -> Path:
    """The folder, made if it is not there, readable by its owner only.

    Raises
    ------
    InputError
        At ``INCHWATER_DATA`` if it cannot be made or written in.
    """
    folder = data_folder()
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        probe = folder / f".write-{secrets.token_hex(4)}"
        probe.touch(mode=0o600)
        probe.unlink()
    except OSError as error:
        raise InputError(
            where="INCHWATER_DATA",
            came=f"the folder {folder}, which cannot be written ({error.strerror})",
            right="the records need a folder that you may write in",
            do="Set INCHWATER_DATA to such a folder and start again.",
        ) from error
    return folder


def secret_key() -> str:
    """The key that signs cookies: ``INCHWATER_SECRET_KEY``, or made once in the data folder."""
    named = os.environ.get("INCHWATER_SECRET_KEY")
    if named:
        return named
    path = made() / "secret-key"
    try:
        # Exclusive: of two processes that start together, one makes it and the other reads it.
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return _kept(path)
    with os.fdopen(descriptor, "w", encoding="ascii") as file:
        file.write(secrets.token_urlsafe(64))
    return _kept(path)


def _kept(path: Path) -> str:
    key = path.read_text(encoding="ascii").strip()
    if len(key) < 50:
        raise InputError(
            where=str(path),
            came=f"a key of {len(key)} characters",
            right="it holds at least 50, made by the application",
            do="Delete the file and start again; everyone signs in anew.",
        )
    return key
