"""Lifts on the body recorded before its mass was: they stay to be read, and say nothing of a maximum."""

from django.db import migrations


def mark(apps, schema_editor):
    lifted = {"exercise__equipment_kind": "bodyweight"}
    apps.get_model("programs", "StrengthObservation").objects.filter(**lifted).update(body_load=None)
    apps.get_model("programs", "StrengthEstimate").objects.filter(**lifted).delete()


class Migration(migrations.Migration):
    dependencies = [
        ("programs", "0008_system_load"),
    ]

    operations = [migrations.RunPython(mark, migrations.RunPython.noop)]
