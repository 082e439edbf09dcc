"""Where a session is taken to have been done, kept with it: until now it moved with the plan and the client."""

import django.db.models.deletion
from django.db import migrations, models
from django.db.models import F, OuterRef, Subquery
from django.db.models.functions import Coalesce


def as_it_stands(apps, schema_editor):
    log = apps.get_model("logs", "SessionLog")
    mine = log.objects.filter(pk=OuterRef("pk"))
    there = mine.annotate(there=Coalesce(F("planned_session__place"), F("client__place")))
    log.objects.update(usual_place=Subquery(there.values("there")[:1]))


class Migration(migrations.Migration):
    dependencies = [
        ("clients", "0010_client_links"),
        ("logs", "0013_views_of_the_roster"),
    ]

    operations = [
        migrations.AddField(
            model_name="sessionlog",
            name="usual_place",
            field=models.ForeignKey(
                blank=True,
                editable=False,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="+",
                to="clients.place",
            ),
        ),
        migrations.RunPython(as_it_stands, migrations.RunPython.noop),
    ]
