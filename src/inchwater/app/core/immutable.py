"""Triggers that refuse to change what was measured, on SQLite and on PostgreSQL.

Nothing measured is ever overwritten: a correction is a new row.  The database itself holds that,
whoever writes to it.  Deletion stays possible, for the purge.  SQLite drops a table's triggers
when a migration remakes the table, so such a migration runs :func:`refuse_update` again.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

Forward = Callable[[Any, Any], None]


def refuse_update(table: str, columns: Sequence[str], text: str) -> tuple[Forward, Forward]:
    """Two functions for ``RunPython``: make the trigger, and take it away.

    Parameters
    ----------
    table : str
        The table's name in the database.
    columns : sequence of str
        The columns that are written once.
    text : str
        What the database says when one of them is updated; no quotes in it.
    """
    name = f"{table}_unchanged"

    def make(apps: Any, schema: Any) -> None:
        vendor = schema.connection.vendor
        for statement in _statements(vendor, name, table, columns, text):
            schema.execute(statement)

    def drop(apps: Any, schema: Any) -> None:
        if schema.connection.vendor == "postgresql":
            schema.execute(f"DROP TRIGGER IF EXISTS {name} ON {table}")
            schema.execute(f"DROP FUNCTION IF EXISTS {name}()")
        else:
            schema.execute(f"DROP TRIGGER IF EXISTS {name}")

    return make, drop


def _statements(vendor: str, name: str, table: str, columns: Sequence[str], text: str) -> list[str]:
    listed = ", ".join(f'"{column}"' for column in columns)
    if vendor == "sqlite":
        return [
            f"DROP TRIGGER IF EXISTS {name}",
            f"CREATE TRIGGER {name} BEFORE UPDATE OF {listed} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{text}'); END",
        ]
    if vendor == "postgresql":
        return [
            f"CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS "
            f"$body$ BEGIN RAISE EXCEPTION '{text}' "
            f"USING ERRCODE = 'integrity_constraint_violation'; END $body$",
            f"DROP TRIGGER IF EXISTS {name} ON {table}",
            f"CREATE TRIGGER {name} BEFORE UPDATE OF {listed} ON {table} "
            f"FOR EACH ROW EXECUTE FUNCTION {name}()",
        ]
    raise NotImplementedError(f"{vendor}: records are kept on sqlite or postgresql only")
