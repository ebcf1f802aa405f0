"""Every row of money: drafts, invoices, taxes, payments, closed years."""

import django.db.models.deletion
import django.db.models.expressions
from decimal import Decimal
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new house: no former release serves it.
    beside_former_release = False

    initial = True

    dependencies = [
        ('repairs', '0013_estimates'),
    ]

    operations = [
        migrations.CreateModel(
            name='ClosedYear',
            fields=[
                ('year', models.PositiveSmallIntegerField(primary_key=True, serialize=False)),
                ('totals', models.JSONField()),
                ('closed_at', models.DateTimeField()),
                ('closed_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-year'],
            },
        ),
        migrations.CreateModel(
            name='Invoice',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.CharField(max_length=20, unique=True)),
                ('kind', models.CharField(choices=[('380', 'invoice'), ('386', 'deposit invoice'), ('381', 'credit note')], max_length=3)),
                ('sequence', models.PositiveIntegerField()),
                ('currency', models.CharField(max_length=3)),
                ('issued_on', models.DateField(db_index=True)),
                ('due_on', models.DateField()),
                ('net', models.DecimalField(decimal_places=2, max_digits=14)),
                ('vat', models.DecimalField(decimal_places=2, max_digits=14)),
                ('gross', models.DecimalField(decimal_places=2, max_digits=14)),
                ('prepaid', models.DecimalField(decimal_places=2, max_digits=14)),
                ('due', models.DecimalField(decimal_places=2, max_digits=14)),
                ('content', models.JSONField()),
                ('xml_name', models.CharField(max_length=160)),
                ('xml_sha256', models.CharField(max_length=64)),
                ('issued_at', models.DateTimeField()),
                ('case', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='invoices', to='repairs.case')),
                ('client', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='invoices', to='repairs.client')),
                ('credits', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='credit_notes', to='repairs.invoice')),
                ('issued_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-issued_at', '-pk'],
            },
        ),
        migrations.CreateModel(
            name='Deduction',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('amount', models.DecimalField(decimal_places=2, max_digits=14)),
                ('deposit', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='deduction', to='repairs.invoice')),
                ('invoice', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='deductions', to='repairs.invoice')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='InvoiceDraft',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('380', 'invoice'), ('386', 'deposit invoice'), ('381', 'credit note')], default='380', max_length=3, verbose_name='kind')),
                ('language', models.CharField(choices=[('fr', 'Français'), ('en', 'English')], max_length=2, verbose_name='language')),
                ('delivery_on', models.DateField(blank=True, help_text='Empty: the day of the return or of the last sign-off, or else of the issue.', null=True, verbose_name='done or delivered on')),
                ('payment_days', models.PositiveSmallIntegerField(default=30, verbose_name='days to pay')),
                ('means', models.CharField(choices=[('30', 'transfer'), ('48', 'card'), ('10', 'cash'), ('20', 'cheque'), ('97', 'set off')], default='30', max_length=2, verbose_name='to be paid by')),
                ('discount_pct', models.DecimalField(decimal_places=2, default=Decimal('0.00'), max_digits=5, verbose_name='discount on the whole')),
                ('discount_reason', models.CharField(blank=True, max_length=120, verbose_name='reason of the discount')),
                ('buyer_reference', models.CharField(blank=True, max_length=80, verbose_name='their reference')),
                ('order_reference', models.CharField(blank=True, max_length=80, verbose_name='their order number')),
                ('note', models.TextField(blank=True, max_length=1000, verbose_name='note on the invoice')),
                ('above_because', models.CharField(blank=True, help_text='Only above the agreed ceiling: who said yes to it, when and how.', max_length=300, verbose_name='more than was agreed')),
                ('revision', models.PositiveIntegerField(default=0)),
                ('made_at', models.DateTimeField()),
                ('changed_at', models.DateTimeField()),
                ('discarded_at', models.DateTimeField(null=True)),
                ('case', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='invoice_drafts', to='repairs.case')),
                ('changed_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('client', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='invoice_drafts', to='repairs.client')),
                ('credits', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='credit_drafts', to='repairs.invoice')),
                ('deposits', models.ManyToManyField(related_name='deducting_drafts', to='repairs.invoice', verbose_name='deposits to deduct')),
                ('made_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-made_at', '-pk'],
            },
        ),
        migrations.AddField(
            model_name='invoice',
            name='draft',
            field=models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='issued', to='repairs.invoicedraft'),
        ),
        migrations.CreateModel(
            name='DraftLine',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField()),
                ('sort', models.CharField(choices=[('hours', 'work'), ('material', 'material'), ('outside', 'outside cost'), ('free', 'other')], default='free', max_length=8, verbose_name='what it is')),
                ('description', models.CharField(max_length=200, verbose_name='description')),
                ('details', models.CharField(blank=True, max_length=500, verbose_name='details')),
                ('quantity', models.DecimalField(decimal_places=4, max_digits=12, verbose_name='quantity')),
                ('unit', models.CharField(choices=[('C62', 'piece'), ('HUR', 'hour'), ('MIN', 'minute'), ('DAY', 'day'), ('MTR', 'metre'), ('MTK', 'square metre'), ('GRM', 'gram'), ('KGM', 'kilogram'), ('LTR', 'litre')], default='C62', max_length=3, verbose_name='unit')),
                ('unit_price', models.DecimalField(decimal_places=4, max_digits=14, verbose_name='price before tax')),
                ('category', models.CharField(choices=[('S', 'taxed'), ('Z', 'taxed at zero'), ('E', 'exempt'), ('AE', 'reverse charge'), ('G', 'export'), ('K', 'delivery inside the EU'), ('O', 'outside the scope of VAT')], max_length=2, verbose_name='tax')),
                ('rate_pct', models.DecimalField(decimal_places=2, max_digits=5, verbose_name='VAT rate')),
                ('discount', models.DecimalField(decimal_places=2, default=Decimal('0.00'), max_digits=12, verbose_name='discount')),
                ('source', models.CharField(blank=True, max_length=60)),
                ('draft', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='lines', to='repairs.invoicedraft')),
            ],
            options={
                'ordering': ['position', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='InvoiceSeries',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('prefix', models.CharField(max_length=6)),
                ('year', models.PositiveSmallIntegerField()),
                ('last', models.PositiveIntegerField(default=0)),
                ('last_at', models.DateTimeField(null=True)),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('prefix', 'year'), name='one_series_a_year')],
            },
        ),
        migrations.AddField(
            model_name='invoice',
            name='series',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='invoices', to='repairs.invoiceseries'),
        ),
        migrations.AddField(
            model_name='invoice',
            name='paper',
            field=models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='invoice', to='repairs.paper'),
        ),
        migrations.CreateModel(
            name='Payment',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('sort', models.CharField(choices=[('received', 'received'), ('refund', 'paid back'), ('charges', 'late charges received'), ('reversal', 'entry reversed')], max_length=8)),
                ('amount', models.DecimalField(decimal_places=2, max_digits=14, verbose_name='amount')),
                ('means', models.CharField(choices=[('30', 'transfer'), ('48', 'card'), ('10', 'cash'), ('20', 'cheque'), ('97', 'set off')], max_length=2, verbose_name='how')),
                ('paid_on', models.DateField(db_index=True, verbose_name='on')),
                ('note', models.CharField(blank=True, max_length=200, verbose_name='note')),
                ('fee_part', models.DecimalField(decimal_places=2, default=Decimal('0.00'), max_digits=14)),
                ('noted_at', models.DateTimeField()),
                ('invoice', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='payments', to='repairs.invoice')),
                ('noted_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('reverses', models.OneToOneField(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='reversal', to='repairs.payment')),
            ],
            options={
                'ordering': ['paid_on', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='TaxRow',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('part', models.CharField(choices=[('sale', 'sale'), ('deposit', 'deposit'), ('deduction', 'deposit deducted')], max_length=9)),
                ('category', models.CharField(choices=[('S', 'taxed'), ('Z', 'taxed at zero'), ('E', 'exempt'), ('AE', 'reverse charge'), ('G', 'export'), ('K', 'delivery inside the EU'), ('O', 'outside the scope of VAT')], max_length=2)),
                ('rate_pct', models.DecimalField(decimal_places=2, max_digits=5)),
                ('base', models.DecimalField(decimal_places=2, max_digits=14)),
                ('tax', models.DecimalField(decimal_places=2, max_digits=14)),
                ('invoice', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='tax_rows', to='repairs.invoice')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.AddConstraint(
            model_name='invoicedraft',
            constraint=models.CheckConstraint(condition=models.Q(('discount_pct__range', (0, 100))), name='draft_discount_possible'),
        ),
        migrations.AddConstraint(
            model_name='invoicedraft',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('credits__isnull', False), ('kind', '381')), models.Q(models.Q(('kind', '381'), _negated=True), ('credits__isnull', True)), _connector='OR'), name='draft_credit_names_its_invoice'),
        ),
        migrations.AddConstraint(
            model_name='draftline',
            constraint=models.CheckConstraint(condition=models.Q(('quantity__gt', 0)), name='draft_line_of_something'),
        ),
        migrations.AddConstraint(
            model_name='draftline',
            constraint=models.CheckConstraint(condition=models.Q(('unit_price__gte', 0), ('discount__gte', 0)), name='draft_line_not_negative'),
        ),
        migrations.AddConstraint(
            model_name='draftline',
            constraint=models.CheckConstraint(condition=models.Q(('rate_pct__range', (0, 100))), name='draft_line_rate_possible'),
        ),
        migrations.AddConstraint(
            model_name='invoice',
            constraint=models.UniqueConstraint(fields=('series', 'sequence'), name='one_invoice_a_number'),
        ),
        migrations.AddConstraint(
            model_name='invoice',
            constraint=models.CheckConstraint(condition=models.Q(('net__gte', 0), ('vat__gte', 0), ('prepaid__gte', 0), ('due__gte', 0)), name='invoice_not_negative'),
        ),
        migrations.AddConstraint(
            model_name='invoice',
            constraint=models.CheckConstraint(condition=models.Q(('gross__gt', django.db.models.expressions.CombinedExpression(django.db.models.expressions.CombinedExpression(models.F('net'), '+', models.F('vat')), '-', models.Value(Decimal('0.005')))), ('gross__lt', django.db.models.expressions.CombinedExpression(django.db.models.expressions.CombinedExpression(models.F('net'), '+', models.F('vat')), '+', models.Value(Decimal('0.005')))), ('due__gt', django.db.models.expressions.CombinedExpression(django.db.models.expressions.CombinedExpression(models.F('gross'), '-', models.F('prepaid')), '-', models.Value(Decimal('0.005')))), ('due__lt', django.db.models.expressions.CombinedExpression(django.db.models.expressions.CombinedExpression(models.F('gross'), '-', models.F('prepaid')), '+', models.Value(Decimal('0.005'))))), name='invoice_adds_up'),
        ),
        migrations.AddConstraint(
            model_name='invoice',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('credits__isnull', False), ('kind', '381')), models.Q(models.Q(('kind', '381'), _negated=True), ('credits__isnull', True)), _connector='OR'), name='credit_names_its_invoice'),
        ),
        migrations.AddConstraint(
            model_name='payment',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('amount__gt', 0), ('reverses__isnull', True), ('sort', 'received')), models.Q(('amount__lt', 0), ('reverses__isnull', True), ('sort', 'refund')), models.Q(('amount__gt', 0), ('reverses__isnull', True), ('sort', 'charges')), models.Q(('reverses__isnull', False), ('sort', 'reversal'), models.Q(('amount', 0), _negated=True)), _connector='OR'), name='payment_has_its_sign'),
        ),
        migrations.AddConstraint(
            model_name='payment',
            constraint=models.CheckConstraint(condition=models.Q(('fee_part', 0), models.Q(('fee_part__gt', 0), ('fee_part__lte', models.F('amount')), ('sort', 'charges')), models.Q(('fee_part__gte', models.F('amount')), ('fee_part__lt', 0), ('sort', 'reversal')), _connector='OR'), name='payment_fee_of_charges_only'),
        ),
    ]
