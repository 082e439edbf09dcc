"""What was seen on stacks so far counts as seen on those of the client's own place: machines differ."""

from django.db import migrations


def place(apps, schema_editor):
    places = apps.get_model("clients", "Place").objects.filter(clients__isnull=False).distinct()
    for pk in places.values_list("pk", flat=True):
        unplaced = {"client__place": pk, "exercise__equipment_kind": "stack", "machine": ""}
        for name in ("StrengthObservation", "StrengthEstimate"):
            apps.get_model("programs", name).objects.filter(**unplaced).update(machine=f"place:{pk}")


class Migration(migrations.Migration):
    dependencies = [
        ("clients", "0006_machines_without_units"),
        ("programs", "0011_timed_bests"),
    ]

    operations = [migrations.RunPython(place, migrations.RunPython.noop)]
