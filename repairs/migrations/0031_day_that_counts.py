"""Since when the house charges VAT, or no more."""

from django.db import migrations, models


class Migration(migrations.Migration):

    # A column that may be empty, which the former release neither reads nor writes.
    beside_former_release = True

    dependencies = [
        ('repairs', '0030_what_was_agreed_with_its_tax'),
    ]

    operations = [
        migrations.AddField(
            model_name='house',
            name='vat_regime_since',
            field=models.DateField(blank=True, help_text='Empty: always. What was done before that day is billed under the other regime.', null=True, verbose_name='so since'),
        ),
    ]
