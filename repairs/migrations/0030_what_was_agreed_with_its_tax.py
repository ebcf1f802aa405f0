"""A line of a draft knows what was agreed with its tax."""

from django.db import migrations, models


class Migration(migrations.Migration):

    # A column that may be empty, which the former release neither reads nor writes.
    beside_former_release = True

    dependencies = [
        ('repairs', '0029_offers_and_links_are_vouched_for'),
    ]

    operations = [
        migrations.AddField(
            model_name='draftline',
            name='gross',
            field=models.DecimalField(blank=True, decimal_places=2, max_digits=14, null=True, verbose_name='agreed, tax included'),
        ),
    ]
