"""What became of every backup and drill."""

from django.db import migrations, models


class Migration(migrations.Migration):

    # A new table, which the former release neither reads nor writes.
    beside_former_release = True

    dependencies = [
        ('repairs', '0027_forms_that_were_sent_and_tries'),
    ]

    operations = [
        migrations.CreateModel(
            name='KeepRun',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('sort', models.CharField(choices=[('backup', 'backup'), ('drill', 'drill')], max_length=8)),
                ('begun_at', models.DateTimeField(db_index=True)),
                ('ended_at', models.DateTimeField()),
                ('is_good', models.BooleanField()),
                ('is_encrypted', models.BooleanField(default=False)),
                ('place', models.CharField(max_length=300)),
                ('entry', models.CharField(blank=True, max_length=60)),
                ('rows_n', models.PositiveBigIntegerField(default=0)),
                ('files_n', models.PositiveBigIntegerField(default=0)),
                ('copied_n', models.PositiveBigIntegerField(default=0)),
                ('size_bytes', models.PositiveBigIntegerField(default=0)),
                ('trouble', models.TextField(blank=True)),
            ],
            options={
                'indexes': [models.Index(fields=['sort', 'is_good'], name='keep_run_sort')],
            },
        ),
    ]
