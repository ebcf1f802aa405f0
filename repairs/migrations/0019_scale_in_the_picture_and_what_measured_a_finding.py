"""What lies in a picture beside the instrument; which reading measured a finding."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

CARRIES = [
    ('', 'neither scale nor colour card'),
    ('scale', 'a scale'),
    ('card', 'a colour card'),
    ('both', 'a scale and a colour card'),
]


class Migration(migrations.Migration):

    # The new columns have a default in the database, the new table is asked by nothing older.
    beside_former_release = True

    dependencies = [
        ('repairs', '0018_proofs_of_papers'),
    ]

    operations = [
        migrations.AddField(
            model_name='photo',
            name='carries',
            field=models.CharField(blank=True, choices=CARRIES, db_default='', default='', max_length=8, verbose_name='in the picture'),
        ),
        migrations.AddField(
            model_name='upload',
            name='carries',
            field=models.CharField(blank=True, choices=CARRIES, db_default='', default='', max_length=8),
        ),
        migrations.CreateModel(
            name='Measured',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('said_at', models.DateTimeField()),
                ('taken_back_at', models.DateTimeField(null=True)),
                ('finding', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='measured', to='repairs.finding')),
                ('reading', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='measured', to='repairs.reading')),
                ('said_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
    ]
