"""A guided set-up: begun, marked step by step, ended."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # Two new tables, which the former release neither reads nor writes.
    beside_former_release = True

    dependencies = [
        ('repairs', '0021_what_reports_ask'),
    ]

    operations = [
        migrations.CreateModel(
            name='SetUp',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveSmallIntegerField(editable=False)),
                ('begun_at', models.DateTimeField()),
                ('ended_at', models.DateTimeField(null=True)),
                ('begun_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('case', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='setups', to='repairs.case')),
            ],
            options={
                'verbose_name': 'guided set-up',
                'ordering': ['number'],
            },
        ),
        migrations.CreateModel(
            name='SetUpMark',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('step', models.CharField(max_length=24)),
                ('what', models.CharField(choices=[('seen', 'found good by hand and eye'), ('changed', 'something was changed'), ('round', 'played in'), ('left_out', 'left out')], max_length=10)),
                ('words', models.CharField(blank=True, max_length=200)),
                ('at', models.DateTimeField()),
                ('tap', models.UUIDField(unique=True)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('setup', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='marks', to='repairs.setup')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.AddConstraint(
            model_name='setup',
            constraint=models.UniqueConstraint(fields=('case', 'number'), name='one_setup_a_number'),
        ),
        migrations.AddConstraint(
            model_name='setup',
            constraint=models.UniqueConstraint(condition=models.Q(('ended_at', None)), fields=('case',), name='one_setup_open_a_case'),
        ),
    ]
