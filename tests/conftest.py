"""What all tests share: records and secrets of their own, never those of who runs them."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

import pytest

# Before Django's settings are read: whoever runs the tests keeps their records untouched.
_FOLDER = tempfile.TemporaryDirectory(prefix="inchwater-tests-")
os.environ["INCHWATER_DATA"] = _FOLDER.name
os.environ.pop("INCHWATER_LOCAL", None)


def pytest_collection_modifyitems(items):
    """Whatever lies in tests/browser/ drives a browser, whether it says so or not."""
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
