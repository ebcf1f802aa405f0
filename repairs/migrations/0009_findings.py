"""What was seen on which part, and what was not looked at."""

import django.core.validators
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new house: no former release serves it.
    beside_former_release = False

    initial = True

    dependencies = [
        ('repairs', '0008_photos'),
    ]

    operations = [
        migrations.CreateModel(
            name='Finding',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveSmallIntegerField(editable=False)),
                ('term', models.CharField(max_length=40, verbose_name='what is seen')),
                ('location', models.CharField(blank=True, help_text='Side, clock position, millimetres from an edge.', max_length=200, verbose_name='where on the part')),
                ('extent_value', models.DecimalField(blank=True, decimal_places=2, max_digits=8, null=True, validators=[django.core.validators.MinValueValidator(0)], verbose_name='extent')),
                ('extent_unit', models.CharField(blank=True, max_length=12, verbose_name='unit')),
                ('severity', models.PositiveSmallIntegerField(choices=[(1, 'slight'), (2, 'moderate'), (3, 'major'), (4, 'extreme')], verbose_name='severity')),
                ('stability', models.CharField(choices=[('stable', 'stable'), ('active', 'active: it goes on'), ('unknown', 'not known')], default='unknown', max_length=8, verbose_name='stability')),
                ('age', models.CharField(choices=[('old', 'old'), ('new', 'new'), ('unknown', 'not known')], default='unknown', max_length=8, verbose_name='old or new')),
                ('urgency', models.PositiveSmallIntegerField(verbose_name='urgency')),
                ('cause', models.CharField(blank=True, max_length=20, verbose_name='probable cause')),
                ('note', models.TextField(blank=True, max_length=3000, verbose_name='note')),
                ('revision', models.PositiveIntegerField(default=0)),
                ('changed_at', models.DateTimeField()),
                ('withdrawn_at', models.DateTimeField(null=True)),
                ('case', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='findings', to='repairs.case')),
                ('changed_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'verbose_name': 'finding',
                'ordering': ['number'],
            },
        ),
        migrations.AddField(
            model_name='finding',
            name='part',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='findings', to='repairs.part', verbose_name='part'),
        ),
        migrations.CreateModel(
            name='PartLook',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('state', models.CharField(choices=[('looked', 'looked at'), ('not_examined', 'could not be examined')], max_length=12)),
                ('why', models.CharField(blank=True, max_length=200)),
                ('case', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='looks', to='repairs.case')),
                ('part', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='looks', to='repairs.part')),
            ],
            options={
                'ordering': ['part__position'],
            },
        ),
        migrations.CreateModel(
            name='FindingTag',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('finding', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='tag_links', to='repairs.finding')),
                ('tag', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='finding_link', to='repairs.tag')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.CreateModel(
            name='Examination',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('examined_on', models.DateField(verbose_name='examined on')),
                ('place', models.CharField(blank=True, max_length=160, verbose_name='where')),
                ('methods', models.TextField(blank=True, help_text='Daylight, raking light, lens, mirror, lamp inside, ultraviolet, gauges.', max_length=1000, verbose_name='light and methods')),
                ('room_t_c', models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True, verbose_name='room temperature')),
                ('room_rh_pct', models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True, verbose_name='room humidity')),
                ('rh_history', models.CharField(blank=True, help_text='As far as the owner knows: heating, attic, case, humidifier.', max_length=300, verbose_name='what climate it lived in')),
                ('overall_grade', models.CharField(blank=True, max_length=1, verbose_name='overall state')),
                ('overall_state', models.TextField(blank=True, max_length=3000, verbose_name='overall state in words')),
                ('urgency', models.CharField(blank=True, max_length=1, verbose_name='urgency')),
                ('playable_state', models.TextField(blank=True, help_text='What plays and what does not; or that it was not tried, and why.', max_length=1500, verbose_name='playable state')),
                ('played_by', models.CharField(blank=True, max_length=160, verbose_name='tried by')),
                ('hazards', models.JSONField(blank=True, default=list, verbose_name='hazards')),
                ('hazards_note', models.TextField(blank=True, max_length=1000, verbose_name='hazards: what was seen')),
                ('previous_repairs', models.TextField(blank=True, max_length=3000, verbose_name='earlier repairs')),
                ('alterations', models.TextField(blank=True, max_length=2000, verbose_name='alterations')),
                ('advice', models.TextField(blank=True, max_length=3000, verbose_name='advice')),
                ('handling', models.TextField(blank=True, help_text='How to carry, keep and not use it.', max_length=1500, verbose_name='handling until then')),
                ('proposal', models.TextField(blank=True, max_length=3000, verbose_name='proposed treatment')),
                ('alternatives', models.TextField(blank=True, max_length=2000, verbose_name='alternatives')),
                ('risk', models.TextField(blank=True, max_length=2000, verbose_name='risks')),
                ('reversibility', models.TextField(blank=True, max_length=1500, verbose_name='reversibility')),
                ('next_check_on', models.DateField(blank=True, null=True, verbose_name='next check')),
                ('no_photo_reason', models.CharField(blank=True, help_text='Needed only when the report has none.', max_length=300, verbose_name='why there is no photo')),
                ('revision', models.PositiveIntegerField(default=0)),
                ('changed_at', models.DateTimeField()),
                ('case', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='examination', to='repairs.case')),
                ('changed_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('examiner', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL, verbose_name='examined by')),
            ],
            options={
                'verbose_name': 'examination',
                'constraints': [models.CheckConstraint(condition=models.Q(('room_rh_pct__isnull', True), ('room_rh_pct__range', (0, 100)), _connector='OR'), name='examination_humidity_possible')],
            },
        ),
        migrations.AddConstraint(
            model_name='finding',
            constraint=models.UniqueConstraint(fields=('case', 'number'), name='one_finding_a_number'),
        ),
        migrations.AddConstraint(
            model_name='finding',
            constraint=models.CheckConstraint(condition=models.Q(('severity__range', (1, 4))), name='finding_severity_1_to_4'),
        ),
        migrations.AddConstraint(
            model_name='finding',
            constraint=models.CheckConstraint(condition=models.Q(('urgency__range', (1, 4))), name='finding_urgency_1_to_4'),
        ),
        migrations.AddConstraint(
            model_name='finding',
            constraint=models.CheckConstraint(condition=models.Q(('extent_value__isnull', True), models.Q(('extent_unit', ''), _negated=True), _connector='OR'), name='finding_extent_has_unit'),
        ),
        migrations.AddConstraint(
            model_name='partlook',
            constraint=models.UniqueConstraint(fields=('case', 'part'), name='one_look_a_part'),
        ),
        migrations.AddConstraint(
            model_name='partlook',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('state', 'not_examined'), _negated=True), models.Q(('why', ''), _negated=True), _connector='OR'), name='not_examined_says_why'),
        ),
    ]
