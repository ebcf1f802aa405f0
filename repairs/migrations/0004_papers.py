"""Issued papers and their previews."""

import django.db.models.deletion
import uuid
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new house: no former release serves it.
    beside_former_release = False

    initial = True

    dependencies = [
        ('repairs', '0003_jobs'),
    ]

    operations = [
        migrations.CreateModel(
            name='Paper',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('uuid', models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ('kind', models.CharField(max_length=24)),
                ('subject', models.CharField(max_length=80)),
                ('title', models.CharField(max_length=200)),
                ('language', models.CharField(max_length=2)),
                ('version', models.PositiveSmallIntegerField()),
                ('code', models.CharField(max_length=20, unique=True)),
                ('sha256', models.CharField(max_length=64, unique=True)),
                ('file_name', models.CharField(max_length=160)),
                ('size_bytes', models.PositiveIntegerField()),
                ('pages', models.PositiveSmallIntegerField()),
                ('data', models.JSONField()),
                ('renderer', models.CharField(max_length=40)),
                ('issued_at', models.DateTimeField()),
                ('issued_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('replaces', models.OneToOneField(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='replaced_by', to='repairs.paper')),
            ],
            options={
                'ordering': ['-issued_at', '-pk'],
            },
        ),
        migrations.CreateModel(
            name='PaperDraft',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('uuid', models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ('kind', models.CharField(max_length=24)),
                ('subject', models.CharField(db_index=True, max_length=80)),
                ('language', models.CharField(max_length=2)),
                ('fingerprint', models.CharField(max_length=64)),
                ('file_name', models.CharField(blank=True, max_length=160)),
                ('made_at', models.DateTimeField()),
                ('code', models.CharField(max_length=20)),
                ('made_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('paper', models.OneToOneField(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='draft', to='repairs.paper')),
            ],
            options={
                'ordering': ['-made_at'],
            },
        ),
        migrations.AddIndex(
            model_name='paper',
            index=models.Index(fields=['subject', 'kind'], name='paper_subject'),
        ),
        migrations.AddConstraint(
            model_name='paper',
            constraint=models.UniqueConstraint(fields=('kind', 'subject', 'version'), name='one_paper_a_version'),
        ),
    ]
