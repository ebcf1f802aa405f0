"""Whether an instrument is built for the left hand."""

from django.db import migrations, models


class Migration(migrations.Migration):

    # One column with a default of the database: the former release writes rows without it.
    beside_former_release = True

    dependencies = [
        ('repairs', '0015_payments'),
    ]

    operations = [
        migrations.AddField(
            model_name='instrument',
            name='left_handed',
            field=models.BooleanField(db_default=False, default=False, help_text='Built or strung for the left hand: maps, charts and drawings are mirrored.', verbose_name='left-handed'),
        ),
    ]
