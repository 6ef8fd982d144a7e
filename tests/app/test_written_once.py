"""The database itself refuses to change what was measured; deleting stays possible."""

from __future__ import annotations

from io import StringIO
from types import SimpleNamespace

import pytest
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction

from inchwater.app.core.immutable import refuse_update
from inchwater.app.systems.models import SurveyRevision
from inchwater.app.visits.models import Reading

SAID = {
    "visits_reading": "a reading is never changed; add one that corrects it",
    "systems_surveyrevision": "a survey revision is never changed; add the next one",
}
MODELS = {"visits_reading": Reading, "systems_surveyrevision": SurveyRevision}
COLUMNS = [
    (table, field.column)
    for table, model in MODELS.items()
    for field in model._meta.concrete_fields
]


@pytest.mark.parametrize(("table", "column"), COLUMNS)
def test_no_column_of_what_was_measured_can_be_updated(thin, table, column):
    """Not by plain SQL and not to the same value: the trigger names what to do instead."""
    with (
        pytest.raises(DatabaseError) as caught,
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(f'UPDATE {table} SET "{column}" = "{column}"')
    assert str(caught.value).splitlines()[0] == SAID[table]


@pytest.mark.parametrize("table", MODELS)
def test_saving_a_row_again_is_refused(thin, firm, table):
    """Django's own ``save`` is no way round."""
    row = MODELS[table].objects.of(firm).first()
    with pytest.raises(DatabaseError) as caught, transaction.atomic():
        row.save()
    assert str(caught.value).splitlines()[0] == SAID[table]


def test_rows_can_be_deleted(thin, firm):
    """The purge deletes; only changing is refused."""
    assert Reading.objects.of(firm).count() == 2
    Reading.objects.of(firm).delete()
    assert Reading.objects.of(firm).count() == 0


def test_a_reading_is_corrected_once(thin, firm):
    """Two corrections of one reading would leave it open which of them holds."""
    row = Reading.objects.of(firm).get(at="return")
    again = {"trial": row.trial, "at": "return", "quantity": "static", "unit": "inwc"}
    Reading.objects.of(firm).create(key="c1", corrects=row, **again)
    with pytest.raises(DatabaseError), transaction.atomic():
        Reading.objects.of(firm).create(key="c2", corrects=row, **again)


@pytest.mark.django_db
def test_the_triggers_can_be_made_again_and_taken_away(thin):
    """A migration that remakes a table runs the same two functions."""
    make, drop = refuse_update("visits_reading", ["typed"], SAID["visits_reading"])
    with connection.cursor() as cursor:
        # As a schema editor does it; SQLite's own cannot be opened inside a test's transaction.
        schema = SimpleNamespace(connection=connection, execute=cursor.execute)
        drop(None, schema)
        drop(None, schema)
        cursor.execute("UPDATE visits_reading SET typed = typed")
        make(None, schema)
        make(None, schema)
    with (
        pytest.raises(DatabaseError),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute("UPDATE visits_reading SET typed = typed")


@pytest.mark.django_db
def test_no_migration_is_missing():
    """The migrations make the models as they are."""
    out = StringIO()
    call_command("makemigrations", check=True, dry_run=True, stdout=out)
    assert out.getvalue() == "No changes detected\n"


@pytest.mark.django_db
def test_the_database_is_set_as_records_need_it():
    """SQLite waits, keeps a write-ahead log, starts writers at once, and follows foreign keys."""
    if connection.vendor != "sqlite":
        pytest.skip("these are SQLite's own settings")
    options = connection.settings_dict["OPTIONS"]
    assert (options["timeout"], options["transaction_mode"]) == (15, "IMMEDIATE")
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA foreign_keys")
        assert cursor.fetchone() == (1,)
        cursor.execute("PRAGMA synchronous")
        assert cursor.fetchone() == (1,)
