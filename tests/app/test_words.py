"""Words that pages share."""

from __future__ import annotations

import pytest

from inchwater.app.core.words import with_status


@pytest.mark.parametrize(
    ("source", "status", "text"),
    [
        ("a journal, p. 3", "read", "a journal, p. 3 (read)"),
        ("a table (memory)", "memory", "a table (memory)"),
        ("common practice", "common practice, no source", "common practice, no source"),
        ("", "read", ""),
    ],
)
def test_a_source_and_how_it_is_known_are_each_said_once(source, status, text):
    """What one of them says already the other does not repeat."""
    assert with_status(source, status) == text
