"""Originals by their content, photos of a case, and tags drawn on them."""

import django.db.models.deletion
import uuid
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new house: no former release serves it.
    beside_former_release = False

    initial = True

    dependencies = [
        ('repairs', '0007_wood'),
    ]

    operations = [
        migrations.CreateModel(
            name='Original',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('sha256', models.CharField(max_length=64, unique=True)),
                ('file_name', models.CharField(max_length=160)),
                ('size_bytes', models.PositiveBigIntegerField()),
                ('format', models.CharField(max_length=8)),
                ('width', models.PositiveIntegerField()),
                ('height', models.PositiveIntegerField()),
                ('taken_at', models.DateTimeField(null=True)),
                ('camera', models.CharField(blank=True, max_length=120)),
                ('has_place', models.BooleanField(default=False)),
                ('kept_at', models.DateTimeField()),
            ],
        ),
        migrations.CreateModel(
            name='Photo',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveSmallIntegerField()),
                ('phase', models.CharField(choices=[('arrival', 'arrival'), ('before', 'before work'), ('during', 'during work'), ('after', 'after work'), ('return', 'return')], default='arrival', max_length=8, verbose_name='phase')),
                ('view', models.CharField(blank=True, max_length=20, verbose_name='view')),
                ('caption', models.CharField(blank=True, max_length=300, verbose_name='caption')),
                ('state', models.CharField(choices=[('waiting', 'being checked'), ('ready', 'ready'), ('refused', 'not kept')], default='waiting', max_length=8)),
                ('refusal', models.CharField(blank=True, max_length=16)),
                ('refusal_details', models.JSONField(default=dict)),
                ('sent_name', models.CharField(max_length=200)),
                ('sent_at', models.DateTimeField()),
                ('withdrawn_at', models.DateTimeField(null=True)),
                ('case', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='photos', to='repairs.case')),
                ('original', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='photos', to='repairs.original')),
                ('sent_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['number'],
            },
        ),
        migrations.CreateModel(
            name='Tag',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('shape', models.CharField(choices=[('point', 'point'), ('line', 'line'), ('polygon', 'area')], max_length=8)),
                ('points', models.JSONField()),
                ('drawn_at', models.DateTimeField()),
                ('withdrawn_at', models.DateTimeField(null=True)),
                ('drawn_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('photo', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='tags', to='repairs.photo')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.CreateModel(
            name='Upload',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('uuid', models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ('name', models.CharField(max_length=200)),
                ('size_bytes', models.PositiveBigIntegerField()),
                ('modified', models.CharField(blank=True, max_length=40)),
                ('phase', models.CharField(choices=[('arrival', 'arrival'), ('before', 'before work'), ('during', 'during work'), ('after', 'after work'), ('return', 'return')], max_length=8)),
                ('view', models.CharField(blank=True, max_length=20)),
                ('begun_at', models.DateTimeField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('case', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='uploads', to='repairs.case')),
                ('photo', models.OneToOneField(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='upload', to='repairs.photo')),
            ],
        ),
        migrations.AddConstraint(
            model_name='photo',
            constraint=models.UniqueConstraint(fields=('case', 'number'), name='one_photo_a_number'),
        ),
        migrations.AddConstraint(
            model_name='photo',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('state', 'ready'), _negated=True), ('original__isnull', False), _connector='OR'), name='ready_photo_has_original'),
        ),
    ]
