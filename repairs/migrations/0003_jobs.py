"""Work beside the web: a row for each, with a lease."""

import django.db.models.deletion
import uuid
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new house: no former release serves it.
    beside_former_release = False

    initial = True

    dependencies = [
        ('repairs', '0002_the_log'),
    ]

    operations = [
        migrations.CreateModel(
            name='Job',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('uuid', models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ('name', models.CharField(max_length=60)),
                ('arguments', models.JSONField(default=dict)),
                ('state', models.CharField(choices=[('waiting', 'waiting'), ('running', 'under way'), ('done', 'done'), ('failed', 'failed')], default='waiting', max_length=8)),
                ('attempts', models.PositiveSmallIntegerField(default=0)),
                ('worker', models.CharField(blank=True, max_length=80)),
                ('lease_until', models.DateTimeField(null=True)),
                ('not_before', models.DateTimeField()),
                ('progress_done', models.PositiveIntegerField(default=0)),
                ('progress_total', models.PositiveIntegerField(default=0)),
                ('message', models.TextField(blank=True)),
                ('result', models.JSONField(default=dict)),
                ('created_at', models.DateTimeField()),
                ('finished_at', models.DateTimeField(null=True)),
                ('owner', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
        ),
        migrations.AddIndex(
            model_name='job',
            index=models.Index(fields=['state', 'not_before'], name='job_queue'),
        ),
    ]
