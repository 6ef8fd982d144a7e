"""What was measured is written once: the database refuses to change a reading."""

from django.db import migrations

from inchwater.app.core.immutable import refuse_update

COLUMNS = [
    "id",
    "firm_id",
    "created",
    "trial_id",
    "key",
    "at",
    "quantity",
    "typed",
    "unit",
    "value",
    "problem",
    "taken_at",
    "received_at",
    "instrument_id",
    "corrects_id",
    "reason",
]
make, drop = refuse_update(
    "visits_reading", COLUMNS, "a reading is never changed; add one that corrects it"
)


class Migration(migrations.Migration):
    dependencies = [("visits", "0001_first")]
    operations = [migrations.RunPython(make, drop)]
