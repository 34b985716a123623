from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("sales", "0003_which_slabs_work_is_charged_for"),
    ]

    operations = [
        migrations.AddField(
            model_name="wish",
            name="telling_since",
            field=models.DateTimeField(blank=True, help_text="A message to the buyer is on its way.", null=True),
        ),
        migrations.AddField(
            model_name="wish",
            name="trouble",
            field=models.CharField(
                blank=True, help_text="Why the last message did not go out.", max_length=200
            ),
        ),
        migrations.AddField(
            model_name="wish",
            name="trouble_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
    ]
