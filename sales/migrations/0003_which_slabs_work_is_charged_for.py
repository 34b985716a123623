from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("sales", "0002_how_a_lines_footage_came_about"),
    ]

    operations = [
        migrations.AddField(
            model_name="orderline",
            name="work_slabs",
            field=models.JSONField(blank=True, default=list, help_text="Slabs that the work is charged for, by id."),
        ),
    ]
