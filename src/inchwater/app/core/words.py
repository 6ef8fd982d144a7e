"""Words that pages of several apps share."""

from __future__ import annotations


def with_status(source: str, status: str) -> str:
    """A source with how it is known, each said once; nothing where there is no source."""
    if source and source in status:
        return status
    return source if not source or status in source else f"{source} ({status})"
