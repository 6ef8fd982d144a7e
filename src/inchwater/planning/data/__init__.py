"""The figures of this package, each with unit, source, place and status."""
