"""A record of the work is written once: the database refuses to change it."""

from django.db import migrations

from inchwater.app.core.immutable import refuse_update

COLUMNS = [
    "id",
    "firm_id",
    "created",
    "visit_id",
    "number",
    "key",
    "document",
    "problem",
    "received_at",
    "by_id",
]
make, drop = refuse_update(
    "visits_workentry", COLUMNS, "a record of work is never changed; add another one"
)


class Migration(migrations.Migration):
    dependencies = [("visits", "0003_work")]
    operations = [migrations.RunPython(make, drop)]
