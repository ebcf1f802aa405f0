"""The log vouches for rows: vouchers, tallies, and lines for all rows that stand already."""

import django.db.models.deletion
from django.db import migrations, models

from repairs.audit.standing import vouch_for_what_stands


def vouch(apps, schema_editor):
    vouch_for_what_stands(
        lambda name: apps.get_model("repairs", name), schema_editor.connection.alias
    )


class Migration(migrations.Migration):

    # The former release would write rows for which no line vouches.
    beside_former_release = False

    dependencies = [
        ('repairs', '0025_safe_files'),
    ]

    operations = [
        migrations.AddField(
            model_name='logentry',
            name='vouched',
            field=models.CharField(blank=True, db_default='', default='', max_length=64),
        ),
        migrations.CreateModel(
            name='Tally',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('verb', models.CharField(max_length=60)),
                ('subject', models.CharField(max_length=80)),
                ('hour', models.DateTimeField()),
                ('count', models.PositiveIntegerField(default=0)),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('verb', 'subject', 'hour'), name='one_tally_an_hour')],
            },
        ),
        migrations.CreateModel(
            name='Voucher',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('table', models.CharField(max_length=30)),
                ('row', models.BigIntegerField()),
                ('cover', models.PositiveSmallIntegerField()),
                ('digest', models.CharField(blank=True, max_length=64)),
                ('personal', models.CharField(blank=True, max_length=64)),
                ('salt', models.CharField(blank=True, max_length=32)),
                ('entry', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='vouchers', to='repairs.logentry')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('table', 'row', 'entry'), name='one_voucher_a_line')],
            },
        ),
        migrations.RunPython(vouch, migrations.RunPython.noop),
    ]
