"""Job files: read with a limit on size and a word for everything that is no job, written whole."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import IO, Any, NoReturn

from inchwater.errors import FormatError, InputError
from inchwater.survey.document import job_from_dict
from inchwater.survey.form import short
from inchwater.survey.job import Job
from inchwater.survey.to_document import job_to_dict

# A job with a hundred trials is some 100 kB; more than this is another kind of file.
LARGEST = 5_000_000
Source = str | os.PathLike[str] | IO[bytes] | IO[str]


def load(source: Source) -> Job:
    """The job in a file.

    Parameters
    ----------
    source : path or open file
        A file in the form of ``data/job.schema.json``, at most 5 MB; older versions are migrated.

    Returns
    -------
    Job

    Raises
    ------
    FormatError
        If it is no job file: too large, not text, not JSON, another format, a newer version.
    InputError
        If there is no such file, or if something in it cannot be right.
    """
    return job_from_dict(parse_document(read_text(source, "job file", LARGEST)))


def save(job: Job, path: str | os.PathLike[str]) -> None:
    """Write a job to a file, whole or not at all.

    Parameters
    ----------
    job : Job
        What to write.
    path : path
        Where; an existing file is replaced only when the new one is complete.

    Raises
    ------
    InputError
        If the job holds what could not be read again, or cannot be right; nothing is written.
    """
    document = job_to_dict(job)
    # A job built in Python may hold what no file may: nobody should find out on reading it.
    job_from_dict(document)
    text = json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False)
    target = Path(path)
    beside = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        beside.write_text(text + "\n", encoding="utf-8")
        beside.replace(target)
    finally:
        beside.unlink(missing_ok=True)


def parse_document(text: str) -> Any:
    """What a JSON text holds, with duplicate keys, NaN and Infinity refused.

    Parameters
    ----------
    text : str
        JSON (RFC 8259).

    Raises
    ------
    FormatError
        With the line at which the text stops being JSON.
    """
    try:
        return json.loads(text, object_pairs_hook=_once, parse_constant=_no_constant)
    except json.JSONDecodeError as trouble:
        # As json counts lines: by "\n" alone, and the one after the last of them is one too.
        shown = text.split("\n")[trouble.lineno - 1].rstrip()[:40]
        raise FormatError(
            where=f"job file, line {trouble.lineno}",
            came=repr(shown) if shown else "the end" if text.strip() else "nothing",
            right="JSON is wanted",
            do="Choose a file that Inchwater saved.",
        ) from None
    except RecursionError:
        raise FormatError(
            where="job file",
            came="endless nesting",
            right="trunks nest two or three times",
            do="Choose a file that Inchwater saved.",
        ) from None
    except ValueError as trouble:
        # Python refuses to read whole numbers of thousands of digits.
        if isinstance(trouble, InputError):
            raise
        raise FormatError(
            where="job file", came="a number of thousands of digits", right="numbers are short"
        ) from None


def read_text(source: Source, name: str, largest: int, old_windows: bool = False) -> str:
    """The text of a file, refused before it is read when it is too large or no text.

    Parameters
    ----------
    source : path or open file
        What to read; an open file may be binary or text.
    name : str
        What an error calls it.
    largest : int
        Size above which it is refused. [bytes]
    old_windows : bool
        Whether what is no UTF-8 may be the old encoding of Windows instead.

    Raises
    ------
    FormatError
        If it is too large, or not text in UTF-8.
    InputError
        If it cannot be opened.
    """
    if isinstance(source, (str, os.PathLike)):
        path = Path(source)
        try:
            size = path.stat().st_size
            if size > largest:
                _too_large(name, size, largest)
            raw: bytes | str = path.read_bytes()
        except (OSError, ValueError) as trouble:
            if isinstance(trouble, InputError):
                raise
            reason = trouble.strerror if isinstance(trouble, OSError) else None
            raise InputError(
                where=name,
                came=short(str(path)),
                right=f"a file that can be read is wanted ({reason or 'not a path'})",
                do="Check the path.",
            ) from None
    else:
        # One more than is allowed, so that a larger file is known without reading it all.
        raw = source.read(largest + 1)
    if len(raw) > largest:
        _too_large(name, len(raw), largest)
    if isinstance(raw, str):
        return raw.removeprefix("\ufeff")
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")) and len(raw) % 2 == 0:
        # What a spreadsheet calls "Unicode text".
        return raw.decode("utf-16", errors="replace")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        if old_windows and not any(byte < 32 and byte not in b"\t\r\n" for byte in raw):
            # What a spreadsheet calls "CSV"; only its long dashes lie outside ASCII here.
            return raw.decode("cp1252", errors="replace")
        raise FormatError(
            where=name,
            came=f"byte 0x{raw[trouble.start]:02x} at place {trouble.start}",
            right="text in UTF-8 is wanted",
            do="Choose a text file; a picture, a PDF or a spreadsheet file is none.",
        ) from None


def _too_large(name: str, size: int, largest: int) -> NoReturn:
    raise FormatError(
        where=name,
        came=f"more than {largest / 1e6:g} MB" if size == largest + 1 else f"{size / 1e6:.3g} MB",
        right=f"at most {largest / 1e6:g} MB are read",
        do="Choose another file: this one holds something else.",
    )


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise FormatError(
                where=short(key).strip("'"),
                came="the same key twice",
                right="a key stands once in its object",
                do="Remove one of the two.",
            )
        found[key] = value
    return found


def _no_constant(name: str) -> NoReturn:
    raise FormatError(where="job file", came=name, right="a number with an end is wanted")
