"""Whoever comes to the workshop or works in it, what they consented to, and the house itself."""

import django.contrib.auth.models
import django.contrib.auth.validators
import django.core.validators
import django.db.models.deletion
import django.utils.timezone
from decimal import Decimal
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new house: no former release serves it.
    beside_former_release = False

    initial = True

    dependencies = [
        ('auth', '__first__'),
    ]

    operations = [
        migrations.CreateModel(
            name='Client',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('person', 'person'), ('institution', 'institution'), ('house', 'the workshop itself')], default='person', max_length=12, verbose_name='kind')),
                ('name', models.CharField(max_length=160, verbose_name='name')),
                ('contact', models.CharField(blank=True, help_text='For an institution.', max_length=160, verbose_name='contact person')),
                ('address', models.TextField(blank=True, max_length=400, verbose_name='address')),
                ('country', models.CharField(default='FR', help_text='Two letters, such as FR.', max_length=2, validators=[django.core.validators.RegexValidator('^[A-Z]{2}$', 'Two capital letters, such as FR.')], verbose_name='country')),
                ('postcode', models.CharField(blank=True, max_length=12, verbose_name='postcode')),
                ('city', models.CharField(blank=True, max_length=80, verbose_name='town')),
                ('email', models.EmailField(blank=True, max_length=254, verbose_name='e-mail')),
                ('phone', models.CharField(blank=True, max_length=40, verbose_name='telephone')),
                ('vat_id', models.CharField(blank=True, max_length=20, verbose_name='VAT number')),
                ('company_number', models.CharField(blank=True, help_text='In France the SIREN, 9 digits, or the SIRET, 14 digits.', max_length=20, verbose_name='company number')),
                ('buyer_reference', models.CharField(blank=True, help_text='What they want to read on invoices: a cost centre, an order, a service code.', max_length=80, verbose_name='their reference')),
                ('e_address', models.CharField(blank=True, help_text='With its scheme, such as 0225:732829320; empty: the company number is used.', max_length=80, validators=[django.core.validators.RegexValidator('^(\\d{4}|EM):\\S{1,70}$', 'Write the scheme, a colon and the address.')], verbose_name='address for electronic invoices')),
                ('language', models.CharField(choices=[('fr', 'Français'), ('en', 'English')], default='fr', max_length=2, verbose_name='language of papers')),
                ('note', models.TextField(blank=True, max_length=2000, verbose_name='note')),
                ('folded_name', models.CharField(db_index=True, editable=False, max_length=200)),
                ('phone_digits', models.CharField(blank=True, editable=False, max_length=40)),
                ('created_at', models.DateTimeField(editable=False)),
            ],
            options={
                'verbose_name': 'client',
                'ordering': ['folded_name', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='User',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('password', models.CharField(max_length=128, verbose_name='password')),
                ('last_login', models.DateTimeField(blank=True, null=True, verbose_name='last login')),
                ('is_superuser', models.BooleanField(default=False, help_text='Designates that this user has all permissions without explicitly assigning them.', verbose_name='superuser status')),
                ('username', models.CharField(error_messages={'unique': 'A user with that username already exists.'}, help_text='Required. 150 characters or fewer. Letters, digits and @/./+/-/_ only.', max_length=150, unique=True, validators=[django.contrib.auth.validators.UnicodeUsernameValidator()], verbose_name='username')),
                ('first_name', models.CharField(blank=True, max_length=150, verbose_name='first name')),
                ('last_name', models.CharField(blank=True, max_length=150, verbose_name='last name')),
                ('email', models.EmailField(blank=True, max_length=254, verbose_name='email address')),
                ('is_staff', models.BooleanField(default=False, help_text='Designates whether the user can log into this admin site.', verbose_name='staff status')),
                ('is_active', models.BooleanField(default=True, help_text='Designates whether this user should be treated as active. Unselect this instead of deleting accounts.', verbose_name='active')),
                ('date_joined', models.DateTimeField(default=django.utils.timezone.now, verbose_name='date joined')),
                ('role', models.CharField(choices=[('principal', 'principal'), ('luthier', 'luthier'), ('apprentice', 'apprentice'), ('bookkeeper', 'bookkeeper'), ('reader', 'reader')], default='reader', max_length=12, verbose_name='role')),
                ('language', models.CharField(choices=[('fr', 'Français'), ('en', 'English')], default='fr', max_length=2, verbose_name='language')),
                ('groups', models.ManyToManyField(blank=True, help_text='The groups this user belongs to. A user will get all permissions granted to each of their groups.', related_name='user_set', related_query_name='user', to='auth.group', verbose_name='groups')),
                ('user_permissions', models.ManyToManyField(blank=True, help_text='Specific permissions for this user.', related_name='user_set', related_query_name='user', to='auth.permission', verbose_name='user permissions')),
            ],
            options={
                'ordering': ['last_name', 'first_name', 'username'],
            },
            managers=[
                ('objects', django.contrib.auth.models.UserManager()),
            ],
        ),
        migrations.CreateModel(
            name='House',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=120, verbose_name='name of the workshop')),
                ('trade', models.CharField(blank=True, max_length=160, verbose_name='what it does, in a line')),
                ('address', models.TextField(blank=True, max_length=400, verbose_name='address')),
                ('email', models.EmailField(blank=True, max_length=254, verbose_name='e-mail')),
                ('phone', models.CharField(blank=True, max_length=40, verbose_name='telephone')),
                ('registration', models.CharField(blank=True, help_text='Number of the business register and of VAT, as they must stand on papers.', max_length=160, verbose_name='registration')),
                ('currency', models.CharField(default='EUR', max_length=3, validators=[django.core.validators.RegexValidator('^[A-Z]{3}$', 'Three capital letters, such as EUR.')], verbose_name='currency')),
                ('hourly_rate', models.DecimalField(decimal_places=2, default=Decimal('50.00'), max_digits=10, validators=[django.core.validators.MinValueValidator(0)], verbose_name='usual hourly rate, before tax')),
                ('spoken_consent_most', models.DecimalField(decimal_places=2, default=Decimal('300.00'), help_text='Above it a signature or the owner’s link is needed.', max_digits=10, validators=[django.core.validators.MinValueValidator(0)], verbose_name='most that may be agreed by word of mouth or message')),
                ('terms', models.TextField(blank=True, help_text='Storage, liability, insurance, collection: have them checked locally.', max_length=4000, verbose_name='terms of the intake receipt')),
                ('legal_name', models.CharField(blank=True, help_text='When it differs from the name of the workshop.', max_length=160, verbose_name='name in the business register')),
                ('legal_form', models.CharField(blank=True, help_text='With capital and register where the law wants them, such as “EI” or “SARL”.', max_length=160, verbose_name='legal form')),
                ('company_number', models.CharField(blank=True, help_text='In France the SIRET, 14 digits, or the SIREN, 9 digits.', max_length=20, verbose_name='company number')),
                ('vat_id', models.CharField(blank=True, max_length=20, verbose_name='VAT number')),
                ('tax_number', models.CharField(blank=True, help_text='Where invoices must bear one beside or instead of the VAT number.', max_length=30, verbose_name='tax number')),
                ('iban', models.CharField(blank=True, max_length=42, verbose_name='IBAN')),
                ('bic', models.CharField(blank=True, max_length=11, verbose_name='BIC')),
                ('country', models.CharField(default='FR', help_text='Two letters, such as FR.', max_length=2, validators=[django.core.validators.RegexValidator('^[A-Z]{2}$', 'Two capital letters, such as FR.')], verbose_name='country')),
                ('postcode', models.CharField(blank=True, max_length=12, verbose_name='postcode')),
                ('city', models.CharField(blank=True, max_length=80, verbose_name='town')),
                ('vat_regime', models.CharField(choices=[('normal', 'charged on invoices'), ('small_business', 'not charged: small-business exemption')], default='normal', max_length=16, verbose_name='VAT')),
                ('vat_on_debits', models.BooleanField(default=False, help_text='France only: tick it if you asked the tax office to pay VAT on debits (“option pour le paiement de la taxe d’après les débits”). Without it, VAT of services is due when you are paid. Invoices then say so.', verbose_name='VAT of services paid on issue')),
                ('default_rate_pct', models.DecimalField(decimal_places=2, default=Decimal('20.00'), max_digits=4, verbose_name='usual VAT rate')),
                ('payment_days', models.PositiveSmallIntegerField(default=30, verbose_name='days to pay')),
                ('penalty_rate_pct', models.DecimalField(blank=True, decimal_places=2, help_text='Empty: three times the legal rate of interest, as the paper then says.', max_digits=5, null=True, verbose_name='late-payment rate a year')),
                ('invoice_prefix', models.CharField(default='FA', max_length=6, validators=[django.core.validators.RegexValidator('^[A-Z]{1,6}$', 'One to six capital letters, such as FA.')], verbose_name='invoice numbers begin with')),
                ('credit_prefix', models.CharField(default='AV', max_length=6, validators=[django.core.validators.RegexValidator('^[A-Z]{1,6}$', 'One to six capital letters, such as FA.')], verbose_name='credit note numbers begin with')),
            ],
            options={
                'verbose_name': 'workshop',
                'constraints': [models.CheckConstraint(condition=models.Q(('default_rate_pct__range', (0, 30))), name='house_rate_possible'), models.CheckConstraint(condition=models.Q(('penalty_rate_pct__isnull', True), ('penalty_rate_pct__range', (0, 60)), _connector='OR'), name='house_penalty_possible'), models.CheckConstraint(condition=models.Q(('invoice_prefix', models.F('credit_prefix')), _negated=True), name='house_series_differ')],
            },
        ),
        migrations.CreateModel(
            name='DataConsent',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('purpose', models.CharField(choices=[('keep', 'keep contact data after the stay'), ('photos', 'show photos of the instrument'), ('contact', 'be written to about upkeep')], max_length=8, verbose_name='purpose')),
                ('how', models.CharField(choices=[('written', 'in writing'), ('spoken', 'by word of mouth'), ('message', 'by message')], max_length=8, verbose_name='how it was said')),
                ('given_at', models.DateTimeField()),
                ('withdrawn_at', models.DateTimeField(null=True)),
                ('client', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='data_consents', to='repairs.client')),
            ],
            options={
                'ordering': ['purpose', '-given_at'],
                'constraints': [models.CheckConstraint(condition=models.Q(('withdrawn_at__isnull', True), ('withdrawn_at__gte', models.F('given_at')), _connector='OR'), name='data_consent_withdrawn_after_given')],
            },
        ),
    ]
