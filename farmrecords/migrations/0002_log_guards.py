"""Let the database refuse every change of the log."""

from django.db import migrations

from farmrecords.history import guards


def install(apps, schema_editor):
    guards.install(schema_editor)


def remove(apps, schema_editor):
    guards.remove(schema_editor)


class Migration(migrations.Migration):
    dependencies = [("farmrecords", "0001_initial")]
    operations = [migrations.RunPython(install, remove)]
