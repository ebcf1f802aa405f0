"""What a condition report asks beside the findings: who judged, packing, transport, light."""

from django.db import migrations, models


class Migration(migrations.Migration):

    # Columns with a default of the database: the former release writes rows without them.
    beside_former_release = True

    dependencies = [
        ('repairs', '0020_step_note_tap'),
    ]

    operations = [
        migrations.AddField(
            model_name='examination',
            name='light',
            field=models.CharField(blank=True, db_default='', default='', help_text='Where it is shown or kept: 50 lux, no sun, so many hours.', max_length=300, verbose_name='limits of light'),
        ),
        migrations.AddField(
            model_name='examination',
            name='transport',
            field=models.TextField(blank=True, db_default='', default='', help_text='How it is to be packed and carried: slack, loose parts off, cased, flat.', max_length=1500, verbose_name='packing and transport'),
        ),
        migrations.AddField(
            model_name='user',
            name='qualification',
            field=models.CharField(blank=True, db_default='', default='', help_text='As reports name it: luthier, 31 years in the trade.', max_length=160, verbose_name='qualification'),
        ),
    ]
