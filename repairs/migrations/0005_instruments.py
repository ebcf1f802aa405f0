"""The register of instruments: identity, parts, sizes, and what may be dangerous in them."""

import django.core.validators
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new house: no former release serves it.
    beside_former_release = False

    initial = True

    dependencies = [
        ('repairs', '0004_papers'),
    ]

    operations = [
        migrations.CreateModel(
            name='InstrumentSeries',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('last', models.PositiveIntegerField(default=0)),
            ],
        ),
        migrations.CreateModel(
            name='Instrument',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.CharField(editable=False, max_length=12, unique=True, verbose_name='number')),
                ('sequence', models.PositiveIntegerField(editable=False, unique=True)),
                ('kind', models.CharField(max_length=40, verbose_name='kind')),
                ('name', models.CharField(blank=True, help_text='What its owner calls it, or its title in a collection.', max_length=160, verbose_name='name')),
                ('maker', models.CharField(blank=True, max_length=160, verbose_name='maker')),
                ('maker_surety', models.CharField(choices=[('signed', 'signed'), ('attributed', 'attributed'), ('workshop_of', 'workshop of'), ('unknown', 'unknown')], default='unknown', max_length=12, verbose_name='how sure')),
                ('place_made', models.CharField(blank=True, max_length=160, verbose_name='place')),
                ('date_text', models.CharField(blank=True, help_text='1771, 1650–1720, c. 1720, 18th century.', max_length=60, verbose_name='date')),
                ('year_first', models.SmallIntegerField(editable=False, null=True)),
                ('year_last', models.SmallIntegerField(editable=False, null=True)),
                ('serial', models.CharField(blank=True, max_length=80, verbose_name='serial or inventory number')),
                ('label_text', models.TextField(blank=True, help_text='Keep the lines and the spelling as they are.', max_length=4000, verbose_name='label, word for word')),
                ('marks', models.TextField(blank=True, max_length=4000, verbose_name='marks, stamps, inscriptions')),
                ('hs_number', models.CharField(blank=True, help_text='Filled from the kind when left empty.', max_length=40, verbose_name='Hornbostel–Sachs number')),
                ('key_count', models.PositiveSmallIntegerField(blank=True, null=True, verbose_name='number of keys')),
                ('mass_g', models.PositiveIntegerField(blank=True, help_text='g', null=True, verbose_name='mass')),
                ('accessories', models.TextField(blank=True, help_text='Case, bow, belt, spare strings: one a line.', max_length=2000, verbose_name='accessories')),
                ('missing', models.TextField(blank=True, help_text='One a line.', max_length=2000, verbose_name='missing parts')),
                ('declared_value', models.DecimalField(blank=True, decimal_places=2, max_digits=12, null=True, validators=[django.core.validators.MinValueValidator(0)], verbose_name='value declared by the owner')),
                ('currency', models.CharField(default='EUR', max_length=3, verbose_name='currency')),
                ('provenance', models.TextField(blank=True, max_length=4000, verbose_name='history and proof of ownership')),
                ('restrictions', models.TextField(blank=True, help_text='Deposit, listing, lender’s conditions, sampling or photos refused.', max_length=2000, verbose_name='restrictions')),
                ('folded_maker', models.CharField(blank=True, editable=False, max_length=200)),
                ('folded_text', models.TextField(blank=True, editable=False)),
                ('created_at', models.DateTimeField(editable=False)),
                ('owner', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='instruments', to='repairs.client', verbose_name='owner')),
            ],
            options={
                'verbose_name': 'instrument',
                'ordering': ['-sequence'],
            },
        ),
        migrations.CreateModel(
            name='HazardNoted',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('key', models.CharField(max_length=40, verbose_name='hazard')),
                ('evidence', models.CharField(choices=[('suspected', 'suspected'), ('seen', 'seen'), ('analysed', 'analysed by a laboratory')], default='suspected', max_length=10, verbose_name='how it is known')),
                ('note', models.TextField(blank=True, help_text='White bloom in the lining of the case, solder on a fitting, a tuft of wire.', max_length=1000, verbose_name='what was seen, and where')),
                ('case_number', models.CharField(blank=True, editable=False, max_length=20)),
                ('noted_at', models.DateTimeField(editable=False)),
                ('noted_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('instrument', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='hazard_rows', to='repairs.instrument', verbose_name='number')),
            ],
            options={
                'verbose_name': 'hazard',
                'ordering': ['-noted_at', '-pk'],
            },
        ),
        migrations.CreateModel(
            name='Dimension',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('key', models.CharField(max_length=40, verbose_name='dimension')),
                ('value_mm', models.DecimalField(decimal_places=2, max_digits=7, validators=[django.core.validators.MinValueValidator(0)], verbose_name='value')),
                ('instrument', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='dimensions', to='repairs.instrument')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.CreateModel(
            name='Part',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('key', models.CharField(max_length=40)),
                ('own_label', models.CharField(blank=True, max_length=80, verbose_name='name of the part')),
                ('position', models.PositiveSmallIntegerField()),
                ('depth', models.PositiveSmallIntegerField(default=0)),
                ('material', models.CharField(blank=True, max_length=40, verbose_name='material')),
                ('material_note', models.CharField(blank=True, max_length=160, verbose_name='how the material was identified')),
                ('originality', models.CharField(choices=[('original', 'original'), ('old_replacement', 'old replacement'), ('later_replacement', 'later replacement'), ('unknown', 'unknown')], default='unknown', max_length=20, verbose_name='originality')),
                ('instrument', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='parts', to='repairs.instrument')),
                ('parent', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='children', to='repairs.part')),
            ],
            options={
                'ordering': ['position'],
            },
        ),
        migrations.CreateModel(
            name='HazardLifted',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('because', models.TextField(max_length=1000, verbose_name='why it is no longer a danger')),
                ('lifted_at', models.DateTimeField(editable=False)),
                ('lifted_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('hazard', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='lift', to='repairs.hazardnoted')),
            ],
            options={
                'verbose_name': 'lifted hazard',
                'ordering': ['pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('because', ''), _negated=True), name='hazard_lifted_says_why')],
            },
        ),
        migrations.AddConstraint(
            model_name='instrument',
            constraint=models.CheckConstraint(condition=models.Q(('year_first__isnull', True), ('year_last__gte', models.F('year_first')), _connector='OR'), name='instrument_years_in_order'),
        ),
        migrations.AddConstraint(
            model_name='instrument',
            constraint=models.CheckConstraint(condition=models.Q(('declared_value__isnull', True), ('declared_value__gte', 0), _connector='OR'), name='instrument_value_not_negative'),
        ),
        migrations.AddConstraint(
            model_name='dimension',
            constraint=models.UniqueConstraint(fields=('instrument', 'key'), name='one_dimension_a_key'),
        ),
        migrations.AddConstraint(
            model_name='dimension',
            constraint=models.CheckConstraint(condition=models.Q(('value_mm__gt', 0), ('value_mm__lt', 5000)), name='dimension_plausible'),
        ),
        migrations.AddConstraint(
            model_name='part',
            constraint=models.UniqueConstraint(fields=('instrument', 'key'), name='one_part_a_key'),
        ),
    ]
