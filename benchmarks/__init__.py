"""Benchmarks: ``python -m benchmarks.NAME [--quick]``; a table, and as last line one JSON object."""
