"""The wood store: boards, tests, and what was taken from them for which case."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new house: no former release serves it.
    beside_former_release = False

    initial = True

    dependencies = [
        ('repairs', '0006_cases'),
    ]

    operations = [
        migrations.CreateModel(
            name='WoodSeries',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('last', models.PositiveIntegerField(default=0)),
            ],
        ),
        migrations.CreateModel(
            name='Piece',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('length_mm', models.DecimalField(decimal_places=2, max_digits=6, verbose_name='length')),
                ('width_mm', models.DecimalField(decimal_places=2, max_digits=6, verbose_name='width')),
                ('thickness_mm', models.DecimalField(decimal_places=2, max_digits=6, verbose_name='thickness')),
                ('number', models.CharField(editable=False, max_length=12, unique=True, verbose_name='number')),
                ('sequence', models.PositiveIntegerField(editable=False, unique=True)),
                ('form', models.CharField(choices=[('board', 'board'), ('billet', 'billet'), ('blank', 'blank'), ('offcut', 'offcut'), ('veneer', 'veneer'), ('other', 'other form')], default='board', max_length=8, verbose_name='form')),
                ('material', models.CharField(max_length=40, verbose_name='species or material')),
                ('identified_by', models.CharField(blank=True, help_text='By the dealer’s paper, the end grain under the lens, a laboratory.', max_length=160, verbose_name='how it was identified')),
                ('cut', models.CharField(choices=[('quarter', 'quarter-sawn'), ('rift', 'rift-sawn'), ('flat', 'flat-sawn'), ('unknown', 'cut not known')], default='unknown', max_length=8, verbose_name='how it was sawn')),
                ('volume_cm3', models.DecimalField(decimal_places=9, editable=False, max_digits=18)),
                ('place', models.CharField(blank=True, max_length=80, verbose_name='place in the store')),
                ('felled_year', models.PositiveSmallIntegerField(blank=True, help_text='Where it is known.', null=True, verbose_name='year of felling')),
                ('acquired_on', models.DateField(blank=True, null=True, verbose_name='acquired on')),
                ('acquired_from', models.CharField(blank=True, max_length=160, verbose_name='acquired from')),
                ('acquisition_proof', models.TextField(blank=True, help_text='Which paper shows where it comes from, of what date, and where it is kept.', max_length=2000, verbose_name='proof of acquisition')),
                ('permit_number', models.CharField(blank=True, max_length=80, verbose_name='number of the permit')),
                ('permit_issued_on', models.DateField(blank=True, null=True, verbose_name='permit issued on')),
                ('permit_expires_on', models.DateField(blank=True, null=True, verbose_name='permit expires on')),
                ('note', models.TextField(blank=True, max_length=2000, verbose_name='note')),
                ('entered_at', models.DateTimeField(editable=False)),
                ('closed_at', models.DateTimeField(editable=False, null=True)),
                ('folded_text', models.TextField(blank=True, editable=False)),
                ('entered_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('parent', models.ForeignKey(editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='offcuts', to='repairs.piece')),
            ],
            options={
                'verbose_name': 'piece of wood',
                'ordering': ['-sequence'],
            },
        ),
        migrations.CreateModel(
            name='Withdrawal',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('length_mm', models.DecimalField(decimal_places=2, max_digits=6, verbose_name='length')),
                ('width_mm', models.DecimalField(decimal_places=2, max_digits=6, verbose_name='width')),
                ('thickness_mm', models.DecimalField(decimal_places=2, max_digits=6, verbose_name='thickness')),
                ('number', models.PositiveSmallIntegerField(editable=False)),
                ('volume_cm3', models.DecimalField(decimal_places=9, editable=False, max_digits=18)),
                ('purpose', models.CharField(max_length=200, verbose_name='for what')),
                ('subject', models.CharField(blank=True, db_index=True, editable=False, max_length=80)),
                ('case_number', models.CharField(blank=True, max_length=12, verbose_name='for case')),
                ('at', models.DateTimeField(editable=False)),
                ('returned_at', models.DateTimeField(editable=False, null=True)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('piece', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='withdrawals', to='repairs.piece')),
                ('returned_by', models.ForeignKey(editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-number'],
            },
        ),
        migrations.CreateModel(
            name='WoodTest',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('length_mm', models.DecimalField(decimal_places=2, max_digits=6, verbose_name='length')),
                ('width_mm', models.DecimalField(decimal_places=2, max_digits=6, verbose_name='width')),
                ('thickness_mm', models.DecimalField(decimal_places=2, max_digits=6, verbose_name='thickness')),
                ('taken_on', models.DateField(verbose_name='tested on')),
                ('mass_g', models.DecimalField(decimal_places=2, max_digits=7, verbose_name='mass')),
                ('mc_pct', models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True, verbose_name='moisture')),
                ('ring_mm', models.DecimalField(blank=True, decimal_places=2, max_digits=5, null=True, verbose_name='ring width')),
                ('tap_f_hz', models.DecimalField(blank=True, decimal_places=2, max_digits=7, null=True, verbose_name='tap tone')),
                ('given', models.JSONField(editable=False)),
                ('output', models.JSONField(editable=False)),
                ('versions', models.JSONField(editable=False)),
                ('saved_at', models.DateTimeField(editable=False)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('piece', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='tests', to='repairs.piece')),
            ],
            options={
                'ordering': ['-taken_on', '-pk'],
            },
        ),
        migrations.AddConstraint(
            model_name='piece',
            constraint=models.CheckConstraint(condition=models.Q(('length_mm__gt', 0), ('width_mm__gt', 0), ('thickness_mm__gt', 0)), name='piece_sizes_positive'),
        ),
        migrations.AddConstraint(
            model_name='piece',
            constraint=models.CheckConstraint(condition=models.Q(('volume_cm3__gt', 0)), name='piece_volume_positive'),
        ),
        migrations.AddConstraint(
            model_name='piece',
            constraint=models.CheckConstraint(condition=models.Q(('permit_issued_on__isnull', True), ('permit_expires_on__isnull', True), ('permit_expires_on__gte', models.F('permit_issued_on')), _connector='OR'), name='piece_permit_days_in_order'),
        ),
        migrations.AddConstraint(
            model_name='piece',
            constraint=models.CheckConstraint(condition=models.Q(('felled_year__isnull', True), ('felled_year__range', (1000, 2999)), _connector='OR'), name='piece_felled_year_possible'),
        ),
        migrations.AddConstraint(
            model_name='withdrawal',
            constraint=models.UniqueConstraint(fields=('piece', 'number'), name='one_withdrawal_a_number'),
        ),
        migrations.AddConstraint(
            model_name='withdrawal',
            constraint=models.CheckConstraint(condition=models.Q(('length_mm__gt', 0), ('width_mm__gt', 0), ('thickness_mm__gt', 0), ('volume_cm3__gt', 0)), name='withdrawal_sizes_positive'),
        ),
        migrations.AddConstraint(
            model_name='withdrawal',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('returned_at__isnull', True), ('returned_by__isnull', True)), models.Q(('returned_at__isnull', False), ('returned_by__isnull', False)), _connector='OR'), name='withdrawal_returned_by_someone'),
        ),
        migrations.AddConstraint(
            model_name='woodtest',
            constraint=models.CheckConstraint(condition=models.Q(('length_mm__gt', 0), ('width_mm__gt', 0), ('thickness_mm__gt', 0), ('mass_g__gt', 0)), name='wood_test_sizes_positive'),
        ),
    ]
