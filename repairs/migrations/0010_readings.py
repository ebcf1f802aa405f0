"""Raw readings as they were typed, what was computed of them, and the house's limits."""

import django.core.validators
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new house: no former release serves it.
    beside_former_release = False

    initial = True

    dependencies = [
        ('repairs', '0009_findings'),
    ]

    operations = [
        migrations.CreateModel(
            name='Prescription',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField()),
                ('code', models.CharField(max_length=40)),
                ('target', models.CharField(blank=True, max_length=60)),
                ('amount', models.FloatField(null=True)),
                ('u', models.FloatField(null=True)),
                ('unit', models.CharField(blank=True, max_length=12)),
                ('details', models.JSONField(default=dict)),
                ('irreversible', models.BooleanField(default=False)),
            ],
            options={
                'ordering': ['position'],
            },
        ),
        migrations.CreateModel(
            name='Reading',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveSmallIntegerField(editable=False)),
                ('gauge', models.CharField(max_length=30)),
                ('subject', models.CharField(blank=True, help_text='Which string, part or crack, when there is more than one.', max_length=120, verbose_name='of what')),
                ('phase', models.CharField(choices=[('before', 'before work'), ('during', 'during work'), ('after', 'after work'), ('follow_up', 'follow-up')], default='before', max_length=10, verbose_name='phase')),
                ('round', models.PositiveSmallIntegerField(blank=True, help_text='For a new instrument: 1 is its first playable state.', null=True, verbose_name='round')),
                ('taken_at', models.DateTimeField(verbose_name='taken')),
                ('room_t_c', models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True, verbose_name='room temperature')),
                ('room_rh_pct', models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True, verbose_name='room humidity')),
                ('raw', models.JSONField(default=dict)),
                ('not_permitted', models.CharField(blank=True, max_length=200, verbose_name='not done: not permitted, because')),
                ('note', models.TextField(blank=True, max_length=2000, verbose_name='note')),
                ('saved_at', models.DateTimeField()),
                ('withdrawn_at', models.DateTimeField(null=True)),
                ('case', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='readings', to='repairs.case')),
                ('taken_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['number'],
            },
        ),
        migrations.CreateModel(
            name='Result',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.CharField(max_length=40)),
                ('output', models.JSONField()),
                ('computed_at', models.DateTimeField()),
                ('reading', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='results', to='repairs.reading')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.AddField(
            model_name='prescription',
            name='result',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='prescriptions', to='repairs.result'),
        ),
        migrations.CreateModel(
            name='Tool',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=80, unique=True, verbose_name='name')),
                ('resolution', models.DecimalField(decimal_places=4, max_digits=9, validators=[django.core.validators.MinValueValidator(0)], verbose_name='resolution')),
                ('unit', models.CharField(default='mm', max_length=12, verbose_name='unit')),
                ('calibrated_on', models.DateField(blank=True, null=True, verbose_name='last checked on')),
                ('note', models.CharField(blank=True, max_length=200, verbose_name='note')),
                ('retired_at', models.DateTimeField(editable=False, null=True)),
            ],
            options={
                'verbose_name': 'tool',
                'ordering': ['name'],
                'constraints': [models.CheckConstraint(condition=models.Q(('resolution__gt', 0)), name='tool_resolution_positive')],
            },
        ),
        migrations.AddField(
            model_name='reading',
            name='tool',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='readings', to='repairs.tool', verbose_name='tool'),
        ),
        migrations.CreateModel(
            name='Verdict',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('figure', models.CharField(max_length=60)),
                ('value', models.FloatField()),
                ('u', models.FloatField(null=True)),
                ('unit', models.CharField(blank=True, max_length=12)),
                ('lower', models.FloatField(null=True)),
                ('upper', models.FloatField(null=True)),
                ('source', models.CharField(blank=True, max_length=160)),
                ('word', models.CharField(choices=[('inside', 'inside'), ('doubtful', 'doubtful'), ('outside', 'outside'), ('not_judged', 'not judged')], max_length=10)),
                ('result', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='verdicts', to='repairs.result')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.CreateModel(
            name='HouseLimit',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('gauge', models.CharField(max_length=30)),
                ('figure', models.CharField(max_length=60)),
                ('lower', models.FloatField(blank=True, null=True, verbose_name='from')),
                ('upper', models.FloatField(blank=True, null=True, verbose_name='to')),
                ('source', models.CharField(max_length=160, verbose_name='source')),
                ('set_at', models.DateTimeField()),
                ('set_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['gauge', 'figure', '-set_at'],
                'constraints': [models.CheckConstraint(condition=models.Q(('lower__isnull', True), ('upper__isnull', True), ('upper__gte', models.F('lower')), _connector='OR'), name='house_limit_in_order')],
            },
        ),
        migrations.AddConstraint(
            model_name='prescription',
            constraint=models.UniqueConstraint(fields=('result', 'position'), name='one_prescription_a_place'),
        ),
        migrations.AddConstraint(
            model_name='reading',
            constraint=models.UniqueConstraint(fields=('case', 'number'), name='one_reading_a_number'),
        ),
        migrations.AddConstraint(
            model_name='reading',
            constraint=models.CheckConstraint(condition=models.Q(('room_rh_pct__isnull', True), ('room_rh_pct__range', (0, 100)), _connector='OR'), name='reading_humidity_possible'),
        ),
        migrations.AddConstraint(
            model_name='verdict',
            constraint=models.UniqueConstraint(fields=('result', 'figure'), name='one_verdict_a_figure'),
        ),
    ]
