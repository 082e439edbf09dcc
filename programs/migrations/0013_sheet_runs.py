"""Sheets of several people in one file: a run and its rows."""

import django.db.models.deletion
from django.db import migrations, models

import coachdesk.practice.text


class Migration(migrations.Migration):
    dependencies = [
        ("clients", "0007_client_uid"),
        ("practice", "0003_paper_of_a_practice"),
        ("programs", "0012_stacks_by_place"),
    ]

    operations = [
        migrations.CreateModel(
            name="SheetRun",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("title", coachdesk.practice.text.CleanCharField(max_length=200)),
                (
                    "layout",
                    models.CharField(
                        choices=[("each", "a side for each session"), ("together", "side by side on one sheet")],
                        default="each",
                        max_length=8,
                    ),
                ),
                ("paper", models.CharField(choices=[("a4", "A4"), ("letter", "Letter")], max_length=6)),
                (
                    "state",
                    models.CharField(
                        choices=[("running", "running"), ("cancelled", "cancelled"), ("done", "done")],
                        default="running",
                        max_length=9,
                    ),
                ),
                ("began_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                (
                    "act",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to="practice.act",
                    ),
                ),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="sheet_runs", to="practice.membership"
                    ),
                ),
                (
                    "practice",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="sheet_runs", to="practice.practice"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="RunSheet",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveIntegerField()),
                ("waiting", models.BooleanField(default=True)),
                ("left_out", coachdesk.practice.text.CleanCharField(blank=True, default="", max_length=300)),
                (
                    "client",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="+", to="clients.client"
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to="clients.place",
                    ),
                ),
                (
                    "planned_session",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to="programs.plannedsession",
                    ),
                ),
                (
                    "sheet",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to="programs.issuedsheet",
                    ),
                ),
                (
                    "run",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="rows", to="programs.sheetrun"
                    ),
                ),
            ],
        ),
        migrations.AddIndex(
            model_name="sheetrun",
            index=models.Index(fields=["practice", "began_at"], name="sheetrun_by_practice"),
        ),
        migrations.AddConstraint(
            model_name="runsheet",
            constraint=models.UniqueConstraint(fields=("run", "position"), name="runsheet_position_once"),
        ),
    ]
