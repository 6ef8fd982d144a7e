"""A survey revision is written once: the database refuses to change one."""

from django.db import migrations

from inchwater.app.core.immutable import refuse_update

COLUMNS = [
    "id",
    "firm_id",
    "created",
    "system_id",
    "number",
    "parent_id",
    "document",
    "typed",
    "format_version",
    "by_id",
    "at",
]
make, drop = refuse_update(
    "systems_surveyrevision", COLUMNS, "a survey revision is never changed; add the next one"
)


class Migration(migrations.Migration):
    dependencies = [("systems", "0001_first")]
    operations = [migrations.RunPython(make, drop)]
