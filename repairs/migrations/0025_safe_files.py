"""Files that stay: hashes of smaller pictures, when each file was read back, failed jobs."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    # New tables, and fields that the database fills by itself when the former release writes a row.
    beside_former_release = True

    dependencies = [
        ('repairs', '0023_what_it_was'),
    ]

    operations = [
        migrations.CreateModel(
            name='Chore',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=60, unique=True)),
                ('begun_on', models.DateField()),
            ],
        ),
        migrations.CreateModel(
            name='StoreCheck',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('begun_at', models.DateTimeField()),
                ('ended_at', models.DateTimeField()),
                ('share_pct', models.PositiveSmallIntegerField()),
                ('known_n', models.PositiveIntegerField()),
                ('read_n', models.PositiveIntegerField()),
                ('read_bytes', models.PositiveBigIntegerField()),
                ('healed_n', models.PositiveIntegerField()),
            ],
            options={
                'ordering': ['-pk'],
            },
        ),
        migrations.AddField(
            model_name='job',
            name='let_go_at',
            field=models.DateTimeField(null=True),
        ),
        migrations.AddField(
            model_name='job',
            name='trouble',
            field=models.CharField(blank=True, db_default='', default='', max_length=16),
        ),
        migrations.AlterField(
            model_name='original',
            name='format',
            field=models.CharField(blank=True, db_default='', default='', max_length=8),
        ),
        migrations.AlterField(
            model_name='original',
            name='height',
            field=models.PositiveIntegerField(db_default=0, default=0),
        ),
        migrations.AlterField(
            model_name='original',
            name='width',
            field=models.PositiveIntegerField(db_default=0, default=0),
        ),
        migrations.AlterField(
            model_name='photo',
            name='state',
            field=models.CharField(choices=[('waiting', 'being checked'), ('ready', 'ready'), ('failed', 'could not be developed'), ('refused', 'not kept')], default='waiting', max_length=8),
        ),
        migrations.CreateModel(
            name='FileCheck',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=200, unique=True)),
                ('folder', models.CharField(max_length=40)),
                ('checked_at', models.DateTimeField()),
                ('found', models.CharField(blank=True, choices=[('missing', 'not there'), ('changed', 'changed'), ('orphaned', 'known to no row'), ('unreferenced', 'used by nothing')], max_length=12)),
            ],
            options={
                'indexes': [models.Index(fields=['found'], name='file_found')],
            },
        ),
        migrations.CreateModel(
            name='Derivative',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('longest_px', models.PositiveSmallIntegerField()),
                ('sha256', models.CharField(max_length=64)),
                ('size_bytes', models.PositiveIntegerField()),
                ('original', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='derivatives', to='repairs.original')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('original', 'longest_px'), name='one_derivative_a_size')],
            },
        ),
    ]
