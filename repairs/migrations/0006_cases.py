"""A stay in the workshop: its steps, who held the instrument, how it left."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new house: no former release serves it.
    beside_former_release = False

    initial = True

    dependencies = [
        ('repairs', '0005_instruments'),
    ]

    operations = [
        migrations.CreateModel(
            name='CaseSeries',
            fields=[
                ('year', models.PositiveSmallIntegerField(primary_key=True, serialize=False)),
                ('last', models.PositiveIntegerField(default=0)),
            ],
        ),
        migrations.CreateModel(
            name='Case',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.CharField(editable=False, max_length=12, unique=True, verbose_name='number')),
                ('year', models.PositiveSmallIntegerField(editable=False)),
                ('sequence', models.PositiveIntegerField(editable=False)),
                ('reason', models.CharField(max_length=20, verbose_name='reason')),
                ('owner_words', models.TextField(help_text='What is wrong or wished, as they say it.', max_length=6000, verbose_name='the owner’s words')),
                ('state_at_intake', models.TextField(help_text='What anyone can see at the counter. It stands on the receipt.', max_length=1200, verbose_name='state at intake, in three lines')),
                ('received_items', models.TextField(blank=True, help_text='One a line.', max_length=2000, verbose_name='received with it')),
                ('bringer_name', models.CharField(blank=True, help_text='When it is not the owner in person.', max_length=160, verbose_name='brought by')),
                ('bringer_contact', models.CharField(blank=True, max_length=160, verbose_name='how to reach them')),
                ('bringer_may_agree', models.BooleanField(default=False, verbose_name='they may agree to work and cost')),
                ('title_proof', models.CharField(blank=True, help_text='Bill, insurance paper, inventory; or that none was asked for.', max_length=200, verbose_name='proof of ownership seen')),
                ('received_at', models.DateTimeField(verbose_name='received')),
                ('promised_on', models.DateField(blank=True, null=True, verbose_name='promised for')),
                ('review_on', models.DateField(blank=True, null=True, verbose_name='to be collected or reviewed by')),
                ('insured_value', models.DecimalField(blank=True, decimal_places=2, max_digits=12, null=True, verbose_name='value insured during the stay')),
                ('liability', models.CharField(blank=True, help_text='Who insures what during the stay.', max_length=300, verbose_name='liability and insurance')),
                ('place', models.CharField(max_length=80, verbose_name='place in the shop')),
                ('room_t_c', models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True, verbose_name='room temperature')),
                ('room_rh_pct', models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True, verbose_name='room humidity')),
                ('may_turn', models.CharField(choices=[('yes', 'yes'), ('no', 'no'), ('ask', 'not decided: ask first')], default='ask', max_length=3, verbose_name='may its wheel be turned')),
                ('may_string', models.CharField(choices=[('yes', 'yes'), ('no', 'no'), ('ask', 'not decided: ask first')], default='ask', max_length=3, verbose_name='may it be strung to pitch')),
                ('may_play', models.CharField(choices=[('yes', 'yes'), ('no', 'no'), ('ask', 'not decided: ask first')], default='ask', max_length=3, verbose_name='may it be played')),
                ('leave_decided_by', models.CharField(blank=True, max_length=160, verbose_name='who decided this')),
                ('consumables_kept', models.BooleanField(default=False, verbose_name='the owner wants old strings and cotton back')),
                ('step', models.CharField(choices=[('taken_in', 'taken in'), ('looked_over', 'looked over'), ('reported', 'reported'), ('agreed', 'agreed'), ('on_bench', 'on the bench'), ('proved', 'proved'), ('handed_back', 'handed back'), ('to_stock', 'to stock'), ('sold', 'sold')], default='taken_in', max_length=12)),
                ('waits_for', models.CharField(blank=True, choices=[('owner', 'the owner'), ('part', 'a part'), ('glue', 'glue or varnish to set'), ('season', 'the season')], max_length=8, verbose_name='waits for')),
                ('waits_note', models.CharField(blank=True, max_length=200, verbose_name='note')),
                ('waits_since', models.DateTimeField(null=True)),
                ('ended_at', models.DateTimeField(null=True)),
                ('next_finding', models.PositiveSmallIntegerField(default=1)),
                ('folded_words', models.TextField(blank=True, editable=False)),
                ('received_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('owner', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='cases', to='repairs.client')),
            ],
            options={
                'ordering': ['-year', '-sequence'],
            },
        ),
        migrations.AddField(
            model_name='case',
            name='instrument',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='cases', to='repairs.instrument'),
        ),
        migrations.CreateModel(
            name='StepMove',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('step', models.CharField(choices=[('taken_in', 'taken in'), ('looked_over', 'looked over'), ('reported', 'reported'), ('agreed', 'agreed'), ('on_bench', 'on the bench'), ('proved', 'proved'), ('handed_back', 'handed back'), ('to_stock', 'to stock'), ('sold', 'sold')], max_length=12)),
                ('at', models.DateTimeField()),
                ('because', models.CharField(blank=True, max_length=200)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('case', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='moves', to='repairs.case')),
            ],
            options={
                'ordering': ['at', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='Custody',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('holder', models.CharField(choices=[('workshop', 'the workshop'), ('owner', 'the owner'), ('other', 'someone else')], max_length=8, verbose_name='held by')),
                ('holder_name', models.CharField(blank=True, max_length=160, verbose_name='name')),
                ('place', models.CharField(blank=True, max_length=80, verbose_name='place')),
                ('since', models.DateTimeField()),
                ('until', models.DateTimeField(null=True)),
                ('case', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='custody', to='repairs.case')),
                ('noted_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['since', 'pk'],
                'constraints': [models.UniqueConstraint(condition=models.Q(('until', None)), fields=('case',), name='one_present_holder'), models.CheckConstraint(condition=models.Q(('until__isnull', True), ('until__gte', models.F('since')), _connector='OR'), name='custody_ends_after_start')],
            },
        ),
        migrations.CreateModel(
            name='HandBack',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('ending', models.CharField(choices=[('taken_in', 'taken in'), ('looked_over', 'looked over'), ('reported', 'reported'), ('agreed', 'agreed'), ('on_bench', 'on the bench'), ('proved', 'proved'), ('handed_back', 'handed back'), ('to_stock', 'to stock'), ('sold', 'sold')], max_length=12, verbose_name='how it ends')),
                ('received_name', models.CharField(max_length=160, verbose_name='handed to')),
                ('returned_at', models.DateTimeField(verbose_name='handed over')),
                ('state_at_return', models.TextField(help_text='What anyone can see at the counter. It stands on the return receipt.', max_length=1200, verbose_name='state at return, in three lines')),
                ('items', models.TextField(blank=True, help_text='One a line.', max_length=2000, verbose_name='given with it')),
                ('why_unworked', models.CharField(blank=True, max_length=200, verbose_name='why it goes home unworked')),
                ('reserve', models.TextField(blank=True, max_length=1500, verbose_name='guarantee and its limits')),
                ('next_check_on', models.DateField(blank=True, null=True, verbose_name='next check')),
                ('room_t_c', models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True, verbose_name='room temperature')),
                ('room_rh_pct', models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True, verbose_name='room humidity')),
                ('noted_at', models.DateTimeField()),
                ('done_at', models.DateTimeField(null=True)),
                ('case', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='hand_backs', to='repairs.case')),
                ('noted_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['pk'],
                'constraints': [models.UniqueConstraint(condition=models.Q(('done_at', None)), fields=('case',), name='one_return_being_written'), models.CheckConstraint(condition=models.Q(('room_rh_pct__isnull', True), ('room_rh_pct__range', (0, 100)), _connector='OR'), name='hand_back_humidity_possible')],
            },
        ),
        migrations.AddIndex(
            model_name='case',
            index=models.Index(fields=['ended_at', 'promised_on'], name='case_bench'),
        ),
        migrations.AddConstraint(
            model_name='case',
            constraint=models.UniqueConstraint(fields=('year', 'sequence'), name='one_case_a_number'),
        ),
        migrations.AddConstraint(
            model_name='case',
            constraint=models.CheckConstraint(condition=models.Q(('room_rh_pct__isnull', True), ('room_rh_pct__range', (0, 100)), _connector='OR'), name='case_humidity_possible'),
        ),
        migrations.AddConstraint(
            model_name='case',
            constraint=models.CheckConstraint(condition=models.Q(('insured_value__isnull', True), ('insured_value__gte', 0), _connector='OR'), name='case_value_not_negative'),
        ),
    ]
