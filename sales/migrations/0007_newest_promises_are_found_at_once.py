from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("sales", "0006_sums_of_invoices"),
    ]

    operations = [
        migrations.AddIndex(
            model_name="order",
            index=models.Index(fields=["-promise_made_on", "-id"], name="order_promise_newest"),
        ),
    ]
