"""One index for each question asked: those of a client alone stood beside others that begin with the client."""

import django.db.models.deletion
from django.db import migrations, models

from coachdesk.practice.own_index import WithoutOwnIndex


class Migration(migrations.Migration):
    dependencies = [
        ("clients", "0010_client_links"),
        ("logs", "0014_where_a_session_usually_was"),
    ]

    operations = [
        WithoutOwnIndex(
            model_name="exerciseweek",
            name="client",
            field=models.ForeignKey(
                db_index=False,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="exercise_weeks",
                to="clients.client",
            ),
        ),
        WithoutOwnIndex(
            model_name="muscleweek",
            name="client",
            field=models.ForeignKey(
                db_index=False,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="muscle_weeks",
                to="clients.client",
            ),
        ),
        WithoutOwnIndex(
            model_name="sessionlog",
            name="client",
            field=models.ForeignKey(
                db_index=False,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="session_logs",
                to="clients.client",
            ),
        ),
        WithoutOwnIndex(
            model_name="setlog",
            name="client",
            field=models.ForeignKey(
                db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name="+", to="clients.client"
            ),
        ),
        WithoutOwnIndex(
            model_name="setlog",
            name="session_log",
            field=models.ForeignKey(
                db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name="sets", to="logs.sessionlog"
            ),
        ),
    ]
