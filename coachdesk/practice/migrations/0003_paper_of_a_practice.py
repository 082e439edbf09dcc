"""Which paper a practice prints on; empty: by its unit."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("practice", "0002_backup")]

    operations = [
        migrations.AddField(
            model_name="practice",
            name="paper",
            field=models.CharField(blank=True, choices=[("a4", "A4"), ("letter", "Letter")], default="", max_length=6),
        ),
    ]
