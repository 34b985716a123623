from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("yard", "0003_spreadsheets_brought_in"),
    ]

    operations = [
        migrations.AddField(
            model_name="yard",
            name="own_climate",
            field=models.JSONField(
                blank=True,
                default=dict,
                help_text="A usual year from a weather file instead of the built-in one: label, twelve [°F, %] months.",
            ),
        ),
        migrations.AlterField(
            model_name="weatherday",
            name="day",
            field=models.DateField(),
        ),
        migrations.AddConstraint(
            model_name="weatherday",
            constraint=models.UniqueConstraint(fields=("day", "file"), name="weather_day_once_a_file"),
        ),
    ]
