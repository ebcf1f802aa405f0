"""Numbered wordings of how a work is done."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new house: no former release serves it.
    beside_former_release = False

    initial = True

    dependencies = [
        ('repairs', '0010_readings'),
    ]

    operations = [
        migrations.CreateModel(
            name='ProcedureVersion',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('key', models.CharField(max_length=40)),
                ('version', models.PositiveSmallIntegerField()),
                ('content', models.JSONField()),
                ('content_hash', models.CharField(max_length=64)),
                ('origin', models.CharField(choices=[('shipped', 'as delivered'), ('house', 'of the house')], max_length=8)),
                ('because', models.CharField(blank=True, max_length=200, verbose_name='why it was changed')),
                ('made_at', models.DateTimeField()),
                ('made_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['key', '-version'],
            },
        ),
        migrations.AddConstraint(
            model_name='procedureversion',
            constraint=models.UniqueConstraint(fields=('key', 'version'), name='one_wording_a_version'),
        ),
    ]
