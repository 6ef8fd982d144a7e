"""What all tests share: records and secrets of their own, never those of who runs them."""

from __future__ import annotations

import json
import os
import tempfile
from functools import partial
from pathlib import Path

import pytest

from tests import evidence

# Before Django's settings are read: whoever runs the tests keeps their records untouched.
_FOLDER = tempfile.TemporaryDirectory(prefix="inchwater-tests-")
os.environ["INCHWATER_DATA"] = _FOLDER.name
os.environ.pop("INCHWATER_LOCAL", None)


_RECORDS = pytest.StashKey[list[evidence.Record]]()


def pytest_addoption(parser):
    """``--evidence FILE`` runs the checks against the outside and writes what came out."""
    parser.addoption("--evidence", metavar="FILE", help="run the evidence, record it in FILE")


def pytest_configure(config):
    """Every session has its own records."""
    config.stash[_RECORDS] = []


@pytest.fixture
def check(request):
    """Assert a value against a publication, and put it on record (``tests/evidence.py``)."""
    test = request.node.nodeid.partition("[")[0]
    return partial(evidence.check, request.config.stash[_RECORDS], test)


def pytest_sessionfinish(session):
    """Write the records where they are wanted."""
    if target := session.config.getoption("--evidence"):
        records = [record.as_dict() for record in session.config.stash[_RECORDS]]
        Path(target).write_text(json.dumps(records, ensure_ascii=False, indent=1), "utf-8")


def pytest_collection_modifyitems(config, items):
    """With ``--evidence`` only what goes on record runs; tests/browser/ drives a browser."""
    if config.getoption("--evidence"):
        others = [item for item in items if "check" not in getattr(item, "fixturenames", ())]
        config.hook.pytest_deselected(items=others)
        items[:] = [item for item in items if item not in others]
    for item in items:
        if Path(__file__).parent / "browser" in Path(item.path).parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def django_db_modify_db_settings():
    """Keep the tests' database in a file: a live server's threads each need a connection.

    In memory all threads would share one, and two fields saved at once would share a savepoint.
    It stands here because the first test that needs the database makes it for all.
    """
    from django.conf import settings

    database = settings.DATABASES["default"]
    if database["ENGINE"].endswith("sqlite3"):
        database.setdefault("TEST", {})["NAME"] = str(Path(_FOLDER.name) / "tests.sqlite3")


def pytest_unconfigure():
    """Remove the tests' own records."""
    _FOLDER.cleanup()


@pytest.fixture
def say(capsys):
    """Run a command line; gives its exit code, standard output and standard error."""
    from inchwater.cli import run

    def said(*arguments):
        code = run([str(one) for one in arguments])
        captured = capsys.readouterr()
        return code, captured.out, captured.err

    return said
