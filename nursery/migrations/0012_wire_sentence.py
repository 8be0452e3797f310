from django.db import migrations, models


class Migration(migrations.Migration):
    """The reason for a wire's day becomes a sentence. Standings are derived: the next start makes them anew."""

    dependencies = [
        ('nursery', '0011_decisions'),
    ]

    operations = [
        migrations.RemoveField(model_name='standing', name='wire_why'),
        migrations.AddField(model_name='standing', name='wire_why', field=models.JSONField(default=str)),
    ]
