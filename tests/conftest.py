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


def pytest_unconfigure():
    """Remove the tests' own records."""
    _FOLDER.cleanup()
