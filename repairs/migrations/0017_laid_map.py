"""A map of parts laid over a photo by taps on both."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new table that nothing older asks.
    beside_former_release = True

    dependencies = [
        ('repairs', '0016_left_handed'),
    ]

    operations = [
        migrations.CreateModel(
            name='LaidMap',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('map', models.CharField(max_length=40)),
                ('taps', models.JSONField()),
                ('laid_at', models.DateTimeField()),
                ('laid_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('photo', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='laid_map', to='repairs.photo')),
            ],
            options={
                'verbose_name': 'map laid over a photo',
            },
        ),
    ]
