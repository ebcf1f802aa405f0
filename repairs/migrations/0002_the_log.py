"""The log of who did what to what: one chain, its end, and the salts of what it hashed."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new house: no former release serves it.
    beside_former_release = False

    initial = True

    dependencies = [
        ('repairs', '0001_people_and_the_house'),
    ]

    operations = [
        migrations.CreateModel(
            name='LogEntry',
            fields=[
                ('seq', models.PositiveBigIntegerField(primary_key=True, serialize=False)),
                ('at', models.DateTimeField()),
                ('verb', models.CharField(max_length=60)),
                ('subject', models.CharField(db_index=True, max_length=80)),
                ('details', models.JSONField(default=dict)),
                ('previous_hash', models.CharField(max_length=64)),
                ('hash', models.CharField(max_length=64, unique=True)),
            ],
            options={
                'ordering': ['seq'],
            },
        ),
        migrations.CreateModel(
            name='LogHead',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('seq', models.PositiveBigIntegerField(default=0)),
                ('hash', models.CharField(default='0000000000000000000000000000000000000000000000000000000000000000', max_length=64)),
            ],
        ),
        migrations.CreateModel(
            name='LogSalt',
            fields=[
                ('entry', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, primary_key=True, related_name='salt', serialize=False, to='repairs.logentry')),
                ('value', models.CharField(max_length=32)),
            ],
        ),
        migrations.AddField(
            model_name='logentry',
            name='actor',
            field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
    ]
