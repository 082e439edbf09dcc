"""An id that stays the same in every backup."""

import uuid
from typing import Any

from django.db import migrations, models


def give_uids(apps: Any, schema_editor: Any) -> None:
    client = apps.get_model("clients", "Client")
    rows = list(client.objects.filter(uid=None).only("pk"))
    for row in rows:
        row.uid = uuid.uuid4()
    client.objects.bulk_update(rows, ["uid"], batch_size=500)


class Migration(migrations.Migration):
    dependencies = [("clients", "0006_machines_without_units")]

    operations = [
        migrations.AddField("client", "uid", models.UUIDField(editable=False, null=True)),
        migrations.RunPython(give_uids, migrations.RunPython.noop),
        migrations.AlterField("client", "uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
    ]
