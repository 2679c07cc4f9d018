import django.db.models.deletion
from django.db import migrations, models

import accounts.tenancy


def pairs(apps, schema_editor):
    """What gave way were numbers; of what was lifted for them nothing is known."""
    for row in apps.get_model("curriculum", "Adoption").objects.exclude(gave_way=[]):
        row.gave_way = [(number, None) for number in row.gave_way]
        row.save(update_fields=["gave_way"])


class Migration(migrations.Migration):
    dependencies = [("curriculum", "0003_held_back_and_withdrawn")]
    operations = [
        migrations.AddField(
            model_name="adoption",
            name="lifted",
            field=models.ForeignKey(
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="curriculum.heldback",
            ),
        ),
        migrations.AddConstraint(
            model_name="adoption",
            constraint=accounts.tenancy.SameSchool(
                field="lifted", name="adoption_lifted_same_school"
            ),
        ),
        migrations.RunPython(pairs, migrations.RunPython.noop),
    ]
