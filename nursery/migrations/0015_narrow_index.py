from django.db import migrations, models


class Migration(migrations.Migration):
    """Half the width: a push writes half the pages. The few records of one tree and kind are sorted as read."""

    dependencies = [
        ('nursery', '0014_aside_sentences'),
    ]

    operations = [
        migrations.RemoveIndex(model_name='journalrecord', name='record_by_tree'),
        migrations.AddIndex(
            model_name='journalrecord',
            index=models.Index(fields=['tree', 'kind'], name='record_by_tree'),
        ),
    ]
