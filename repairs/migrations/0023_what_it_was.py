"""What it was: causes that somebody confirmed at the bench."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new table, which the former release neither reads nor writes.
    beside_former_release = True

    dependencies = [
        ('repairs', '0022_guided_setup'),
    ]

    operations = [
        migrations.CreateModel(
            name='WhatItWas',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('causes', models.JSONField()),
                ('words', models.CharField(blank=True, max_length=200)),
                ('heard', models.JSONField()),
                ('denied', models.JSONField()),
                ('version', models.CharField(max_length=40)),
                ('at', models.DateTimeField()),
                ('tap', models.UUIDField(unique=True)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('case', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='what_it_was', to='repairs.case')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
    ]
