import django.db.models.deletion
from django.db import migrations, models

LOOKS = (
    'branchsurvey',
    'budcheck',
    'caliper',
    'firmcheck',
    'note',
    'picture',
    'rootsurvey',
    'soilcheck',
    'wireinspection',
    'wiring',
    'workdone',
)


def drop(apps, schema_editor):
    """The indexes by tree alone and by run, without making each table anew, as SQLite's own way would."""
    for name in LOOKS:
        model = apps.get_model("nursery", name)
        for column in ("tree_id", "run"):
            for index in schema_editor._constraint_names(model, [column], index=True):
                schema_editor.execute(schema_editor._delete_constraint_sql(schema_editor.sql_delete_index, model, index))


class Migration(migrations.Migration):
    """Each index costs every push: those that no question asks go."""

    dependencies = [
        ('nursery', '0012_wire_sentence'),
    ]

    operations = [
        migrations.AddIndex(
            model_name='note',
            index=models.Index(fields=['tree', 'at'], name='note_by_tree'),
        ),
        migrations.RemoveIndex(model_name='journalrecord', name='record_by_device'),
        migrations.SeparateDatabaseAndState(
            database_operations=[migrations.RunPython(drop, migrations.RunPython.noop)],
            state_operations=[
                operation
                for name in LOOKS
                for operation in (
                    migrations.AlterField(name, 'run', models.UUIDField(null=True)),
                    migrations.AlterField(
                        name,
                        'tree',
                        models.ForeignKey(
                            db_index=False, on_delete=django.db.models.deletion.CASCADE, to='nursery.tree'
                        ),
                    ),
                )
            ],
        ),
    ]
