"""A tap on a step says which tap it is, so that a phone may send it again."""

from django.db import migrations, models


class Migration(migrations.Migration):

    # The former release knows nothing of the column and leaves it empty, as it may be.
    beside_former_release = True

    dependencies = [
        ('repairs', '0019_scale_in_the_picture_and_what_measured_a_finding'),
    ]

    operations = [
        migrations.AddField(
            model_name='stepnote',
            name='tap',
            field=models.UUIDField(editable=False, null=True, unique=True),
        ),
    ]
