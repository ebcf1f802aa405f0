"""What follows an invoice: reminders and what was sent."""

import django.db.models.deletion
from decimal import Decimal
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new house: no former release serves it.
    beside_former_release = False

    initial = True

    dependencies = [
        ('repairs', '0014_invoices'),
    ]

    operations = [
        migrations.CreateModel(
            name='Reminder',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('level', models.PositiveSmallIntegerField()),
                ('open_amount', models.DecimalField(decimal_places=2, max_digits=14)),
                ('penalty', models.DecimalField(decimal_places=2, default=Decimal('0.00'), max_digits=14)),
                ('fee', models.DecimalField(decimal_places=2, default=Decimal('0.00'), max_digits=14)),
                ('issued_on', models.DateField()),
                ('invoice', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='reminders', to='repairs.invoice')),
                ('paper', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='reminder', to='repairs.paper')),
            ],
            options={
                'ordering': ['level'],
            },
        ),
        migrations.CreateModel(
            name='Sending',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('address', models.EmailField(max_length=254)),
                ('state', models.CharField(choices=[('under_way', 'not known whether it went'), ('sent', 'sent'), ('failed', 'not sent')], default='under_way', max_length=9)),
                ('why', models.CharField(blank=True, max_length=500)),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('invoice', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='sendings', to='repairs.invoice')),
                ('paper', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='sendings', to='repairs.paper')),
            ],
            options={
                'ordering': ['-at', '-pk'],
            },
        ),
        migrations.AddConstraint(
            model_name='reminder',
            constraint=models.UniqueConstraint(fields=('invoice', 'level'), name='one_reminder_a_level'),
        ),
        migrations.AddConstraint(
            model_name='reminder',
            constraint=models.CheckConstraint(condition=models.Q(('level__range', (1, 3))), name='reminder_level'),
        ),
    ]
