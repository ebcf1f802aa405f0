"""The log vouches for offers, their lines, and for what agreed and begun work answers.

The tables stay as they are: links that had tables of their own become rows with a name. Marks and
findings get a name of what drew them, so that what a phone sends twice is kept once.
"""

import django.db.models.deletion
from django.db import migrations, models

from repairs.audit.standing import vouch_for_what_stands

TABLES = {
    "estimate",
    "option",
    "optionline",
    "optionlinefinding",
    "agreedworkfinding",
    "interventionfinding",
    "interventionpart",
    "findingtag",
}


def vouch(apps, schema_editor):
    vouch_for_what_stands(
        lambda name: apps.get_model("repairs", name), schema_editor.connection.alias, TABLES
    )


def link(name, table, one, other):
    end = {"on_delete": django.db.models.deletion.CASCADE, "related_name": "+"}
    return migrations.CreateModel(
        name=name,
        fields=[
            ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
            (one, models.ForeignKey(to=f"repairs.{one}", **end)),
            (other, models.ForeignKey(to=f"repairs.{other}", **end)),
        ],
        options={"db_table": table, "unique_together": {(one, other)}},
    )


def through(model, name, related, target, by):
    field = models.ManyToManyField(related_name=related, through=f"repairs.{by}", to=f"repairs.{target}")
    return migrations.AlterField(model_name=model, name=name, field=field)


class Migration(migrations.Migration):

    # The former release would write rows for which no line vouches.
    beside_former_release = False

    dependencies = [
        ("repairs", "0028_keep_runs"),
    ]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[
                link("OptionLineFinding", "repairs_optionline_findings", "optionline", "finding"),
                link("AgreedWorkFinding", "repairs_agreedwork_findings", "agreedwork", "finding"),
                link("InterventionFinding", "repairs_intervention_findings", "intervention", "finding"),
                link("InterventionPart", "repairs_intervention_parts", "intervention", "part"),
                through("optionline", "findings", "+", "finding", "OptionLineFinding"),
                through("agreedwork", "findings", "agreed_works", "finding", "AgreedWorkFinding"),
                through("intervention", "findings", "interventions", "finding", "InterventionFinding"),
                through("intervention", "parts", "interventions", "part", "InterventionPart"),
            ],
        ),
        *(
            migrations.AddField(
                model_name=name,
                name="tap",
                field=models.UUIDField(editable=False, null=True),
            )
            for name in ("tag", "finding")
        ),
        migrations.AddConstraint(
            model_name="tag",
            constraint=models.UniqueConstraint(fields=("photo", "tap"), name="one_tag_a_tap"),
        ),
        migrations.AddConstraint(
            model_name="finding",
            constraint=models.UniqueConstraint(fields=("case", "tap"), name="one_finding_a_tap"),
        ),
        migrations.RunPython(vouch, migrations.RunPython.noop),
    ]
