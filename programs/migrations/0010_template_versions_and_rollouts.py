"""Versions of templates, kept as they were, and handing one to many clients."""

import django.db.models.deletion
from django.db import migrations, models

import coachdesk.practice.text


class Migration(migrations.Migration):
    dependencies = [
        ("practice", "0001_initial"),
        ("programs", "0009_body_weight_tests_say_nothing_yet"),
    ]

    operations = [
        migrations.CreateModel(
            name="TemplateVersion",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("number", models.PositiveIntegerField()),
                ("note", coachdesk.practice.text.CleanCharField(blank=True, default="", max_length=200)),
                ("at", models.DateTimeField()),
                ("body", models.JSONField()),
                (
                    "by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to="practice.membership",
                    ),
                ),
                (
                    "program",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="versions", to="programs.program"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Rollout",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("start_on", models.DateField()),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("running", "running"),
                            ("stopped", "stopped"),
                            ("cancelled", "cancelled"),
                            ("done", "done"),
                        ],
                        default="running",
                        max_length=9,
                    ),
                ),
                ("waiting", models.JSONField(blank=True, default=list)),
                ("done", models.PositiveIntegerField(default=0)),
                ("failed", models.JSONField(blank=True, default=list, help_text="pairs of client's id and reason")),
                ("problem", models.CharField(blank=True, default="", max_length=300)),
                ("began_at", models.DateTimeField()),
                ("beat_at", models.DateTimeField(help_text="when it last wrote something")),
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
                        on_delete=django.db.models.deletion.CASCADE, related_name="rollouts", to="practice.membership"
                    ),
                ),
                (
                    "practice",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="rollouts", to="practice.practice"
                    ),
                ),
                (
                    "program",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="rollouts", to="programs.program"
                    ),
                ),
                (
                    "of",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="rollouts",
                        to="programs.templateversion",
                    ),
                ),
            ],
        ),
        # What stood there counted edits of a row, and named no version.
        migrations.RemoveField(model_name="program", name="origin_version"),
        migrations.AddField(
            model_name="program",
            name="origin_version",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.RESTRICT,
                related_name="copies",
                to="programs.templateversion",
            ),
        ),
        migrations.AddConstraint(
            model_name="templateversion",
            constraint=models.UniqueConstraint(fields=("program", "number"), name="version_number_once_per_template"),
        ),
        migrations.AddConstraint(
            model_name="templateversion",
            constraint=models.CheckConstraint(
                condition=models.Q(("number__gte", 1)), name="templateversion_number_from_1"
            ),
        ),
        migrations.AddIndex(
            model_name="rollout",
            index=models.Index(fields=["program", "id"], name="rollout_by_template"),
        ),
    ]
