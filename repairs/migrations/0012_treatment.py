"""Agreed work and what was done: steps, minutes, parts out and in, proof, sign-off."""

import django.core.validators
import django.db.models.deletion
from decimal import Decimal
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new house: no former release serves it.
    beside_former_release = False

    initial = True

    dependencies = [
        ('repairs', '0011_procedures'),
    ]

    operations = [
        migrations.CreateModel(
            name='AgreedWork',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveSmallIntegerField(editable=False)),
                ('title', models.CharField(blank=True, max_length=200, verbose_name='in a line')),
                ('basis', models.CharField(choices=[('consent', 'consent of the owner'), ('house', 'decision of the principal, instrument of the house'), ('emergency', 'emergency, decided by the principal'), ('counter', 'agreed at the counter')], max_length=10)),
                ('reference', models.CharField(blank=True, max_length=40)),
                ('agreed_name', models.CharField(blank=True, max_length=160, verbose_name='agreed by')),
                ('agreed_at', models.DateTimeField()),
                ('because', models.CharField(blank=True, max_length=300, verbose_name='because')),
                ('ceiling', models.DecimalField(decimal_places=2, max_digits=12, null=True)),
                ('stop_at', models.DecimalField(decimal_places=2, max_digits=12, null=True)),
                ('tax_pct', models.DecimalField(decimal_places=2, default=Decimal('0'), max_digits=5)),
                ('survey_fee', models.DecimalField(decimal_places=2, default=Decimal('0'), max_digits=12)),
                ('outside_costs', models.DecimalField(decimal_places=2, default=Decimal('0'), max_digits=12)),
                ('material_costs', models.DecimalField(decimal_places=2, default=Decimal('0'), max_digits=12)),
                ('hourly_rate', models.DecimalField(decimal_places=2, max_digits=10, null=True)),
                ('currency', models.CharField(default='EUR', max_length=3)),
                ('irreversible_agreed', models.BooleanField(default=False)),
                ('content_hash', models.CharField(blank=True, max_length=64)),
                ('superseded_at', models.DateTimeField(null=True)),
                ('dropped_at', models.DateTimeField(null=True)),
                ('dropped_because', models.CharField(blank=True, max_length=300)),
                ('dropped_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('noted_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('case', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='agreed_works', to='repairs.case')),
                ('findings', models.ManyToManyField(related_name='agreed_works', to='repairs.finding')),
            ],
            options={
                'ordering': ['number'],
            },
        ),
        migrations.CreateModel(
            name='Intervention',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveSmallIntegerField(editable=False)),
                ('room_t_c', models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True, verbose_name='room temperature')),
                ('room_rh_pct', models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True, verbose_name='room humidity')),
                ('words', models.TextField(blank=True, help_text='What differs from the steps; what was seen on the way.', max_length=4000, verbose_name='what was done, in words')),
                ('opened_at', models.DateTimeField()),
                ('ended_at', models.DateTimeField(null=True)),
                ('agreed', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='interventions', to='repairs.agreedwork')),
                ('case', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='interventions', to='repairs.case')),
                ('findings', models.ManyToManyField(related_name='interventions', to='repairs.finding')),
                ('opened_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['number'],
            },
        ),
        migrations.CreateModel(
            name='MaterialUse',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=120, verbose_name='material')),
                ('lot', models.CharField(blank=True, help_text='As the pot or packet says.', max_length=120, verbose_name='maker and lot')),
                ('amount', models.DecimalField(blank=True, decimal_places=2, max_digits=9, null=True, validators=[django.core.validators.MinValueValidator(0)], verbose_name='amount')),
                ('unit', models.CharField(blank=True, max_length=12, verbose_name='unit')),
                ('glue_t_c', models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True, verbose_name='temperature of the glue')),
                ('price', models.DecimalField(blank=True, decimal_places=2, help_text='Of the whole amount, before tax; empty when it is not charged apart.', max_digits=10, null=True, validators=[django.core.validators.MinValueValidator(0)], verbose_name='price to charge')),
                ('at', models.DateTimeField()),
                ('withdrawn_at', models.DateTimeField(null=True)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('intervention', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='materials', to='repairs.intervention')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.AddField(
            model_name='intervention',
            name='parts',
            field=models.ManyToManyField(related_name='interventions', to='repairs.part'),
        ),
        migrations.CreateModel(
            name='MoveDone',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('amount', models.FloatField(verbose_name='done')),
                ('unit', models.CharField(blank=True, max_length=12)),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('intervention', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='moves_done', to='repairs.intervention')),
                ('prescription', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='moves_done', to='repairs.prescription')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.AddField(
            model_name='intervention',
            name='version',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='interventions', to='repairs.procedureversion'),
        ),
        migrations.AddField(
            model_name='agreedwork',
            name='version',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='agreed_works', to='repairs.procedureversion'),
        ),
        migrations.CreateModel(
            name='RemovedPart',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveSmallIntegerField(editable=False)),
                ('description', models.CharField(max_length=200, verbose_name='what it is')),
                ('position', models.CharField(blank=True, help_text='Side, its number among its like, which way round.', max_length=200, verbose_name='where it sat')),
                ('is_consumable', models.BooleanField(default=False, help_text='They are one line together.', verbose_name='strings, cotton or rosin')),
                ('fate', models.CharField(choices=[('kept', 'kept here with the record'), ('given_back', 'given back to the owner'), ('refitted', 'put back in its place'), ('sampled', 'sampled: a piece of it was used up by a test'), ('discarded', 'discarded, as the owner agreed')], default='kept', max_length=10, verbose_name='what became of it')),
                ('fate_words', models.CharField(blank=True, max_length=300, verbose_name='who agreed, when; or where it lies')),
                ('removed_at', models.DateTimeField()),
                ('fate_at', models.DateTimeField(null=True)),
                ('case', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='removed_parts', to='repairs.case')),
                ('intervention', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='removed_parts', to='repairs.intervention')),
                ('part', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='removed_pieces', to='repairs.part', verbose_name='part')),
                ('photo', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='repairs.photo', verbose_name='photo')),
                ('removed_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['number'],
            },
        ),
        migrations.CreateModel(
            name='Achieved',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('figure', models.CharField(max_length=60)),
                ('label', models.CharField(max_length=160)),
                ('done', models.FloatField(null=True)),
                ('done_unit', models.CharField(blank=True, max_length=12)),
                ('expected', models.FloatField()),
                ('expected_u', models.FloatField(null=True)),
                ('got', models.FloatField()),
                ('got_u', models.FloatField(null=True)),
                ('unit', models.CharField(blank=True, max_length=12)),
                ('at', models.DateTimeField()),
                ('intervention', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='achieved', to='repairs.intervention')),
                ('prescription', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='achieved', to='repairs.prescription')),
                ('after', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='repairs.result')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.CreateModel(
            name='SignOff',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('at', models.DateTimeField()),
                ('rows', models.JSONField()),
                ('words', models.TextField(blank=True, max_length=2000, verbose_name='note')),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('intervention', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='sign_off', to='repairs.intervention')),
            ],
            options={
                'ordering': ['at'],
            },
        ),
        migrations.CreateModel(
            name='StepNote',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('step', models.CharField(max_length=40)),
                ('state', models.CharField(choices=[('done', 'done'), ('otherwise', 'done otherwise'), ('left_out', 'left out'), ('open', 'open again')], max_length=10)),
                ('words', models.CharField(blank=True, max_length=500, verbose_name='what really happened')),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('intervention', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='step_notes', to='repairs.intervention')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.CreateModel(
            name='NewPart',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('description', models.CharField(max_length=200, verbose_name='what it is')),
                ('material', models.CharField(max_length=40, verbose_name='material')),
                ('origin', models.CharField(choices=[('wood_store', 'the wood store'), ('made', 'made here of bought material'), ('bought', 'bought'), ('owner', 'brought by the owner')], max_length=10, verbose_name='from where')),
                ('supplier', models.CharField(blank=True, max_length=160, verbose_name='supplier and lot')),
                ('marking', models.CharField(blank=True, help_text='Signed, dated, branded, under ultraviolet: where and how.', max_length=160, verbose_name='how it is told from the old')),
                ('at', models.DateTimeField()),
                ('withdrawn_at', models.DateTimeField(null=True)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('intervention', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='new_parts', to='repairs.intervention')),
                ('part', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='new_pieces', to='repairs.part', verbose_name='part')),
                ('withdrawal', models.OneToOneField(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='new_part', to='repairs.withdrawal')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.CreateModel(
            name='WorkSpell',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('started_at', models.DateTimeField(verbose_name='from')),
                ('ended_at', models.DateTimeField(null=True)),
                ('minutes', models.PositiveSmallIntegerField(null=True, verbose_name='minutes')),
                ('typed', models.BooleanField(default=False)),
                ('note', models.CharField(blank=True, max_length=200, verbose_name='note')),
                ('intervention', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='spells', to='repairs.intervention')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='spells', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['started_at', 'pk'],
            },
        ),
        migrations.AddConstraint(
            model_name='intervention',
            constraint=models.UniqueConstraint(fields=('case', 'number'), name='one_intervention_a_number'),
        ),
        migrations.AddConstraint(
            model_name='intervention',
            constraint=models.CheckConstraint(condition=models.Q(('room_rh_pct__isnull', True), ('room_rh_pct__range', (0, 100)), _connector='OR'), name='intervention_humidity_possible'),
        ),
        migrations.AddConstraint(
            model_name='agreedwork',
            constraint=models.UniqueConstraint(fields=('case', 'number'), name='one_agreed_work_a_number'),
        ),
        migrations.AddConstraint(
            model_name='agreedwork',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('basis', 'emergency'), _negated=True), models.Q(('because', ''), _negated=True), _connector='OR'), name='emergency_says_why'),
        ),
        migrations.AddConstraint(
            model_name='agreedwork',
            constraint=models.CheckConstraint(condition=models.Q(('dropped_at__isnull', True), models.Q(('dropped_because', ''), _negated=True), _connector='OR'), name='dropped_work_says_why'),
        ),
        migrations.AddConstraint(
            model_name='agreedwork',
            constraint=models.CheckConstraint(condition=models.Q(('ceiling__isnull', True), ('ceiling__gte', 0), _connector='OR'), name='ceiling_not_negative'),
        ),
        migrations.AddConstraint(
            model_name='agreedwork',
            constraint=models.CheckConstraint(condition=models.Q(('tax_pct__gte', 0)), name='agreed_tax_not_negative'),
        ),
        migrations.AddConstraint(
            model_name='removedpart',
            constraint=models.UniqueConstraint(fields=('case', 'number'), name='one_bag_a_number'),
        ),
        migrations.AddConstraint(
            model_name='removedpart',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('fate__in', ['discarded', 'sampled']), _negated=True), models.Q(('fate_words', ''), _negated=True), _connector='OR'), name='discarded_part_says_who_agreed'),
        ),
        migrations.AddConstraint(
            model_name='achieved',
            constraint=models.UniqueConstraint(fields=('intervention', 'prescription', 'figure'), name='one_achieved_a_promise'),
        ),
        migrations.AddConstraint(
            model_name='stepnote',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('state__in', ['otherwise', 'left_out']), _negated=True), models.Q(('words', ''), _negated=True), _connector='OR'), name='other_step_says_what'),
        ),
        migrations.AddConstraint(
            model_name='newpart',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('origin', 'wood_store'), _negated=True), ('withdrawal__isnull', False), _connector='OR'), name='part_of_the_store_has_its_piece'),
        ),
        migrations.AddConstraint(
            model_name='workspell',
            constraint=models.UniqueConstraint(condition=models.Q(('ended_at', None)), fields=('person',), name='one_clock_a_person'),
        ),
        migrations.AddConstraint(
            model_name='workspell',
            constraint=models.CheckConstraint(condition=models.Q(('ended_at__isnull', True), ('ended_at__gte', models.F('started_at')), _connector='OR'), name='spell_ends_after_start'),
        ),
        migrations.AddConstraint(
            model_name='workspell',
            constraint=models.CheckConstraint(condition=models.Q(('ended_at__isnull', True), ('minutes__isnull', False), _connector='OR'), name='ended_spell_has_minutes'),
        ),
        migrations.AddConstraint(
            model_name='workspell',
            constraint=models.CheckConstraint(condition=models.Q(('minutes__isnull', True), ('minutes__lte', 1440), _connector='OR'), name='spell_within_a_day'),
        ),
    ]
