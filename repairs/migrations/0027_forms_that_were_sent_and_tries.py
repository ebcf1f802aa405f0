"""One-time tokens of forms, and tries at the open doors."""

from django.db import migrations, models


class Migration(migrations.Migration):

    # Two new tables, which the former release neither reads nor writes.
    beside_former_release = True

    dependencies = [
        ('repairs', '0026_the_log_vouches'),
    ]

    operations = [
        migrations.CreateModel(
            name='SentForm',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('token_hash', models.CharField(max_length=64, unique=True)),
                ('words_hash', models.CharField(max_length=64)),
                ('state', models.CharField(choices=[('running', 'Running'), ('kept', 'Kept')], default='running', max_length=8)),
                ('attempt', models.UUIDField()),
                ('location', models.CharField(blank=True, max_length=2000)),
                ('visit', models.JSONField(default=dict)),
                ('at', models.DateTimeField(db_index=True)),
            ],
        ),
        migrations.CreateModel(
            name='Tries',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('what', models.CharField(max_length=30)),
                ('who', models.CharField(max_length=64)),
                ('n', models.PositiveIntegerField()),
                ('delay_s', models.PositiveIntegerField(default=0)),
                ('free_at_s', models.PositiveBigIntegerField(default=0)),
                ('last_s', models.PositiveBigIntegerField(db_index=True)),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('what', 'who'), name='tries_once_each')],
            },
        ),
    ]
