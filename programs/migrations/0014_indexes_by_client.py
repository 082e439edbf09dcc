"""Evidence is found by client first, so that one client's lies together."""

import django.db.models.deletion
from django.db import migrations, models

from coachdesk.practice.own_index import WithoutOwnIndex


class Migration(migrations.Migration):
    dependencies = [
        ("clients", "0010_client_links"),
        ("programs", "0013_sheet_runs"),
    ]

    operations = [
        WithoutOwnIndex(
            model_name="strengthobservation",
            name="client",
            field=models.ForeignKey(
                db_index=False,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="strength_observations",
                to="clients.client",
            ),
        ),
        WithoutOwnIndex(
            model_name="strengthobservation",
            name="source_uid",
            field=models.UUIDField(blank=True, null=True),
        ),
        migrations.AddIndex(
            model_name="strengthobservation",
            index=models.Index(fields=["client", "source_uid"], name="observation_by_session"),
        ),
    ]
