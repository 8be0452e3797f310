from django.db import migrations, models

NAMES = ('message', 'mend')


def widen(apps, schema_editor):
    """SQLite holds no text to its length, and would make the whole journal anew."""
    if schema_editor.connection.vendor == 'sqlite':
        return
    record = apps.get_model('nursery', 'journalrecord')
    for name in NAMES:
        wide = models.TextField(blank=True)
        wide.set_attributes_from_name(name)
        wide.model = record
        schema_editor.alter_field(record, record._meta.get_field(name), wide)


class Migration(migrations.Migration):
    """Why a record was set aside becomes a sentence, longer than its text. Old rows keep their English."""

    dependencies = [
        ('nursery', '0013_fewer_indexes'),
    ]

    operations = [
        migrations.SeparateDatabaseAndState(
            database_operations=[migrations.RunPython(widen, migrations.RunPython.noop)],
            state_operations=[
                migrations.AlterField('journalrecord', name, models.TextField(blank=True)) for name in NAMES
            ],
        ),
    ]
