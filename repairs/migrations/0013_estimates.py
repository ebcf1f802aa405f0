"""Offers with their options, links to decide by, and the owner's decisions."""

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
        ('repairs', '0012_treatment'),
    ]

    operations = [
        migrations.CreateModel(
            name='Estimate',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveSmallIntegerField(editable=False)),
                ('currency', models.CharField(max_length=3)),
                ('hourly_rate', models.DecimalField(decimal_places=2, max_digits=10, verbose_name='hourly rate, before tax')),
                ('tax_pct', models.DecimalField(decimal_places=2, default=Decimal('0'), max_digits=5, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(100)], verbose_name='VAT')),
                ('tax_words', models.CharField(blank=True, help_text='Such as the text of an exemption. Confirm it with your accountant.', max_length=200, verbose_name='tax, in words')),
                ('survey_fee', models.DecimalField(decimal_places=2, default=Decimal('0'), help_text='Before tax; due even when nothing is agreed, if it was said so.', max_digits=10, verbose_name='fee for looking over')),
                ('valid_until', models.DateField(verbose_name='valid until')),
                ('stop_pct', models.PositiveSmallIntegerField(default=10, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(100)], verbose_name='will stop and ask at')),
                ('deposit_pct', models.PositiveSmallIntegerField(default=0, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(100)], verbose_name='deposit')),
                ('intro', models.TextField(blank=True, max_length=2000, verbose_name='to the owner')),
                ('made_at', models.DateTimeField()),
                ('revision', models.PositiveIntegerField(default=0)),
                ('changed_at', models.DateTimeField()),
                ('withdrawn_at', models.DateTimeField(null=True)),
                ('case', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='estimates', to='repairs.case')),
                ('changed_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('made_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-version'],
            },
        ),
        migrations.CreateModel(
            name='ConsentLink',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('token_hash', models.CharField(max_length=64, unique=True)),
                ('made_at', models.DateTimeField()),
                ('expires_at', models.DateTimeField()),
                ('first_opened_at', models.DateTimeField(null=True)),
                ('used_at', models.DateTimeField(null=True)),
                ('revoked_at', models.DateTimeField(null=True)),
                ('made_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('estimate', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='links', to='repairs.estimate')),
            ],
            options={
                'ordering': ['-made_at'],
            },
        ),
        migrations.CreateModel(
            name='Option',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField()),
                ('kind', models.CharField(choices=[('safe', 'the minimum that keeps it safe'), ('playable', 'make it playable'), ('full', 'full restoration'), ('other', 'another way')], max_length=10, verbose_name='kind')),
                ('title', models.CharField(blank=True, max_length=120, verbose_name='in a line')),
                ('promise', models.TextField(blank=True, max_length=1500, verbose_name='what it gives')),
                ('risk', models.TextField(blank=True, max_length=1500, verbose_name='risk')),
                ('reversibility', models.TextField(blank=True, max_length=1500, verbose_name='reversibility')),
                ('left_out', models.TextField(blank=True, max_length=1500, verbose_name='not included')),
                ('ceiling', models.DecimalField(blank=True, decimal_places=2, help_text='The owner never pays more without a new consent. Empty: the upper total.', max_digits=12, null=True, verbose_name='ceiling, tax included')),
                ('estimate', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='options', to='repairs.estimate')),
            ],
            options={
                'ordering': ['position', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='Consent',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveSmallIntegerField(editable=False)),
                ('decision', models.CharField(choices=[('agreed', 'agreed'), ('declined', 'declined')], max_length=8, verbose_name='decision')),
                ('how', models.CharField(choices=[('premises', 'on the premises, signed'), ('link', 'by the link'), ('telephone', 'by telephone'), ('message', 'by message')], max_length=10, verbose_name='how')),
                ('name', models.CharField(max_length=160, verbose_name='name of the person who decides')),
                ('signature', models.JSONField(default=list)),
                ('words', models.TextField(blank=True, max_length=1500, verbose_name='words agreed')),
                ('confirmation', models.CharField(blank=True, help_text='How and when.', max_length=200, verbose_name='confirmation sent')),
                ('irreversible_agreed', models.BooleanField(default=False)),
                ('shown', models.JSONField()),
                ('shown_sha256', models.CharField(max_length=64)),
                ('said_at', models.DateTimeField(verbose_name='when')),
                ('noted_at', models.DateTimeField()),
                ('case', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='consents', to='repairs.case')),
                ('noted_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('link', models.OneToOneField(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='consent', to='repairs.consentlink')),
                ('estimate', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='consents', to='repairs.estimate')),
                ('option', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='consents', to='repairs.option', verbose_name='option')),
            ],
            options={
                'ordering': ['number'],
            },
        ),
        migrations.AddField(
            model_name='estimate',
            name='paper',
            field=models.OneToOneField(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='repairs.paper'),
        ),
        migrations.CreateModel(
            name='OptionLine',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField()),
                ('kind', models.CharField(choices=[('work', 'work'), ('material', 'material'), ('outside', 'cost from outside')], max_length=10, verbose_name='kind')),
                ('words', models.CharField(blank=True, max_length=300, verbose_name='in words')),
                ('minutes_low', models.PositiveIntegerField(blank=True, null=True, verbose_name='minutes, at least')),
                ('minutes_high', models.PositiveIntegerField(blank=True, null=True, verbose_name='minutes, at most')),
                ('amount', models.DecimalField(blank=True, decimal_places=2, max_digits=10, null=True, verbose_name='amount before tax')),
                ('is_sampling', models.BooleanField(default=False, verbose_name='a sample is taken, and used up by a test')),
                ('findings', models.ManyToManyField(related_name='+', to='repairs.finding')),
                ('option', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='lines', to='repairs.option')),
                ('version', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='repairs.procedureversion')),
            ],
            options={
                'ordering': ['position', 'pk'],
            },
        ),
        migrations.AddConstraint(
            model_name='option',
            constraint=models.CheckConstraint(condition=models.Q(('ceiling__isnull', True), ('ceiling__gte', 0), _connector='OR'), name='option_ceiling_not_negative'),
        ),
        migrations.AddConstraint(
            model_name='consent',
            constraint=models.UniqueConstraint(fields=('case', 'number'), name='one_consent_a_number'),
        ),
        migrations.AddConstraint(
            model_name='consent',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('decision', 'agreed'), _negated=True), ('option__isnull', False), _connector='OR'), name='agreed_consent_has_its_option'),
        ),
        migrations.AddConstraint(
            model_name='consent',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('how__in', ['telephone', 'message']), _negated=True), models.Q(('words', ''), _negated=True), _connector='OR'), name='spoken_consent_has_its_words'),
        ),
        migrations.AddConstraint(
            model_name='consent',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('how', 'link'), _negated=True), ('link__isnull', False), _connector='OR'), name='consent_by_link_has_its_link'),
        ),
        migrations.AddConstraint(
            model_name='estimate',
            constraint=models.UniqueConstraint(fields=('case', 'version'), name='one_estimate_a_version'),
        ),
        migrations.AddConstraint(
            model_name='estimate',
            constraint=models.CheckConstraint(condition=models.Q(('hourly_rate__gte', 0), ('survey_fee__gte', 0)), name='estimate_amounts_not_negative'),
        ),
        migrations.AddConstraint(
            model_name='estimate',
            constraint=models.CheckConstraint(condition=models.Q(('tax_pct__range', (0, 100))), name='estimate_tax_possible'),
        ),
        migrations.AddConstraint(
            model_name='optionline',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('kind', 'work'), _negated=True), ('version__isnull', False), _connector='OR'), name='work_line_has_a_procedure'),
        ),
        migrations.AddConstraint(
            model_name='optionline',
            constraint=models.CheckConstraint(condition=models.Q(('minutes_low__isnull', True), ('minutes_high__isnull', True), ('minutes_high__gte', models.F('minutes_low')), _connector='OR'), name='line_minutes_in_order'),
        ),
        migrations.AddConstraint(
            model_name='optionline',
            constraint=models.CheckConstraint(condition=models.Q(('amount__isnull', True), ('amount__gte', 0), _connector='OR'), name='line_amount_not_negative'),
        ),
    ]
