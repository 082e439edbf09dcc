"""What a coach writes into the report of a block."""

import django.db.models.deletion
from django.db import migrations, models

import coachdesk.practice.text


class Migration(migrations.Migration):
    dependencies = [
        ("clients", "0006_machines_without_units"),
        ("logs", "0004_settings_without_units"),
        ("programs", "0012_stacks_by_place"),
    ]

    operations = [
        migrations.CreateModel(
            name="BlockNote",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("first_week", models.PositiveSmallIntegerField()),
                ("last_week", models.PositiveSmallIntegerField()),
                ("note", coachdesk.practice.text.CleanTextField(blank=True, default="", max_length=2000)),
                ("steps", models.JSONField(blank=True, default=list)),
                ("next_note", coachdesk.practice.text.CleanTextField(blank=True, default="", max_length=1000)),
                ("with_pain", models.BooleanField(default=False)),
                ("version", models.PositiveIntegerField(default=1, editable=False)),
                (
                    "block",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="notes", to="programs.block"
                    ),
                ),
                (
                    "client",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="block_notes", to="clients.client"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        fields=("block", "first_week", "last_week"), name="blocknote_once_per_weeks"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("first_week__gte", 1), ("last_week__gte", models.F("first_week"))),
                        name="blocknote_weeks_in_order",
                    ),
                ],
            },
        ),
    ]
