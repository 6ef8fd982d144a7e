"""Job files: what is read, what is refused before it is read, and that saving is whole."""

from __future__ import annotations

import io
import json
from dataclasses import replace

import pytest

from inchwater.errors import FormatError, InputError
from inchwater.survey import job_to_dict, load, save
from inchwater.survey.files import LARGEST, parse_document
from tests.survey.houses import job


def test_what_was_saved_is_loaded(tmp_path):
    """A path as text or as Path, an open file in bytes or text: the same job."""
    path = tmp_path / "house.json"
    save(job(name="Größe × 2"), path)
    for source in (path, str(path)):
        assert load(source) == job(name="Größe × 2")
    with path.open("rb") as raw:
        assert load(raw) == job(name="Größe × 2")
    with path.open(encoding="utf-8") as text:
        assert load(text) == job(name="Größe × 2")


def test_a_byte_order_mark_is_no_error(tmp_path):
    """Editors of one operating system put it there."""
    path = tmp_path / "house.json"
    path.write_text(json.dumps(job_to_dict(job())), encoding="utf-8-sig")
    assert load(path) == job()


def test_saving_replaces_the_file_only_when_it_is_complete(tmp_path, monkeypatch):
    """When writing fails in the middle, the old file is whole and nothing is left beside it."""
    path = tmp_path / "house.json"
    save(job(name="old"), path)

    def fails(self, *_args, **_more):
        self.touch()
        raise OSError("disk full")

    monkeypatch.setattr(type(path), "write_text", fails)
    with pytest.raises(OSError, match="disk full"):
        save(job(name="new"), path)
    assert load(path).name == "old"
    assert [one.name for one in tmp_path.iterdir()] == ["house.json"]


def test_what_could_not_be_read_again_is_not_written(tmp_path):
    """A job built in Python with an id that no file may hold leaves no file behind."""
    path = tmp_path / "house.json"
    for id_ in ("j 1", "j1\n", ""):
        with pytest.raises(FormatError) as caught:
            save(replace(job(), id=id_), path)
        assert str(caught.value) == (
            f"id: {id_!r} came; an id is letters, digits, dots, dashes, at most 64 of them."
        )
    assert list(tmp_path.iterdir()) == []


def test_a_file_of_50_mb_is_refused_before_it_is_read(tmp_path, monkeypatch):
    """Its size is enough; not a byte of it is read."""
    path = tmp_path / "large.json"
    with path.open("wb") as large:
        large.truncate(50_000_000)
    monkeypatch.setattr(type(path), "read_bytes", lambda self: pytest.fail("it was read"))
    with pytest.raises(FormatError) as caught:
        load(path)
    assert str(caught.value) == (
        "job file: 50 MB came; at most 5 MB are read. "
        "Choose another file: this one holds something else."
    )


def test_an_open_file_that_is_too_large_is_not_read_to_its_end():
    """One byte more than is allowed is read, no more."""
    large = io.BytesIO(b" " * 50_000_000)
    with pytest.raises(FormatError) as caught:
        load(large)
    assert large.tell() == LARGEST + 1
    assert str(caught.value) == (
        "job file: more than 5 MB came; at most 5 MB are read. "
        "Choose another file: this one holds something else."
    )


@pytest.mark.parametrize(
    ("raw", "text"),
    [
        (
            b"",
            "job file, line 1: nothing came; JSON is wanted. Choose a file that Inchwater saved.",
        ),
        (
            b"hello",
            "job file, line 1: 'hello' came; JSON is wanted. Choose a file that Inchwater saved.",
        ),
        (
            b'{"format": "inchwater-job",\n "version": }',
            "job file, line 2: ' \"version\": }' came; JSON is wanted. "
            "Choose a file that Inchwater saved.",
        ),
        (
            b'{"format":\n',
            "job file, line 2: the end came; JSON is wanted. Choose a file that Inchwater saved.",
        ),
        (
            '{"name": "a\u2028b",\n "version": }'.encode(),
            "job file, line 2: ' \"version\": }' came; JSON is wanted. "
            "Choose a file that Inchwater saved.",
        ),
        (
            b"\x89PNG\r\n\x1a\n\x00\x00",
            "job file: byte 0x89 at place 0 came; text in UTF-8 is wanted. "
            "Choose a text file; a picture, a PDF or a spreadsheet file is none.",
        ),
        (
            b"[1, 2]",
            "job file: [1, 2] came; an object is wanted, with format, version, id and survey.",
        ),
        (
            b'{"id": "a", "id": "b"}',
            "id: the same key twice came; a key stands once in its object. Remove one of the two.",
        ),
        (
            b'{"format": NaN}',
            "job file: NaN came; a number with an end is wanted.",
        ),
        (
            b'{"format": -Infinity}',
            "job file: -Infinity came; a number with an end is wanted.",
        ),
        (
            b'{"survey": {"unit": [1e999]}}',
            "survey.unit[0]: inf came; a number with an end is wanted.",
        ),
        (
            b'{"a": ' + b"9" * 30 + b"}",
            "a: 999999999999999999999999999999 came; no quantity is that large.",
        ),
        (
            b'{"a": ' + b"9" * 5000 + b"}",
            "job file: a number of thousands of digits came; numbers are short.",
        ),
        (
            b"[" * 100_000,
            "job file: endless nesting came; trunks nest two or three times. "
            "Choose a file that Inchwater saved.",
        ),
        (
            b'{"a": ' * 45 + b"1" + b"}" * 45,
            f"{'a.' * 30}: nesting deeper than 40 levels came; trunks nest two or three times. "
            "Check that no branch is written inside itself.",
        ),
        (
            b'{"name": "\\ud800"}',
            "name: '\\ud800' came; text of whole characters is wanted, without control characters.",
        ),
        (
            b'{"name": "a\\u0000b"}',
            "name: 'a\\x00b' came; text of whole characters is wanted, without control characters.",
        ),
        (
            b'{"format": "other", "version": 1}',
            "format: 'other' came; a job file says 'inchwater-job' here. "
            "Choose a file that Inchwater saved.",
        ),
        (
            b'{"format": "inchwater-job", "version": 8}',
            "version: 8 came; this Inchwater reads versions up to 7. "
            "Update Inchwater, then open the file again.",
        ),
    ],
)
def test_what_is_no_job_is_refused(tmp_path, raw, text):
    """Each kind of wrong file has its own words, and none ends in a trace."""
    path = tmp_path / "file.json"
    path.write_bytes(raw)
    with pytest.raises(FormatError) as caught:
        load(path)
    assert str(caught.value) == text


def test_a_file_that_cannot_be_opened_is_named(tmp_path):
    """No such file, a folder, a path that is none."""
    for path, reason in (
        (tmp_path / "no.json", "No such file or directory"),
        (tmp_path, "Is a directory"),
    ):
        with pytest.raises(InputError) as caught:
            load(path)
        assert str(caught.value) == (
            f"job file: {repr(str(path))[:60]}{'…' if len(repr(str(path))) > 60 else ''} came; "
            f"a file that can be read is wanted ({reason}). Check the path."
        )
    with pytest.raises(InputError) as caught:
        load("a\0b")
    assert str(caught.value) == (
        "job file: 'a\\x00b' came; a file that can be read is wanted (not a path). Check the path."
    )


def test_a_plain_document_is_read_as_it_stands():
    """Nothing is lost or changed by the reader itself."""
    assert parse_document('{"a": [1, 2.5, "x", true]}') == {"a": [1, 2.5, "x", True]}
