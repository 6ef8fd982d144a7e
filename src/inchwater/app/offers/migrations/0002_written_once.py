"""What was accepted is written once: the database refuses to change it."""

from django.db import migrations

from inchwater.app.core.immutable import refuse_update

COLUMNS = [
    "id",
    "firm_id",
    "created",
    "visit_id",
    "key",
    "label",
    "changes",
    "document",
    "job_hash",
    "engine_version",
    "by_id",
    "at",
]
make, drop = refuse_update(
    "offers_acceptedoption", COLUMNS, "what was accepted is never changed; accept another option"
)


class Migration(migrations.Migration):
    dependencies = [("offers", "0001_first")]
    operations = [migrations.RunPython(make, drop)]
