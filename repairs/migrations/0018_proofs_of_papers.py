"""Proofs of issued papers: who signed them, time stamps, data for later years."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new table, which the former release neither reads nor writes.
    beside_former_release = True

    dependencies = [
        ('repairs', '0017_laid_map'),
    ]

    operations = [
        migrations.CreateModel(
            name='PaperProof',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('sort', models.CharField(choices=[('signature', 'signature'), ('stamp_inside', 'time stamp inside the file'), ('stamp', 'time stamp beside the file'), ('validation', 'proofs for later years')], max_length=12)),
                ('at', models.DateTimeField()),
                ('name', models.CharField(max_length=300)),
                ('issuer', models.CharField(blank=True, max_length=300)),
                ('file_name', models.CharField(max_length=160)),
                ('sha256', models.CharField(max_length=64)),
                ('paper', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='proofs', to='repairs.paper')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
    ]
