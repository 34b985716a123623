from decimal import Decimal

import django.db.models.deletion
from django.db import migrations, models

SUMS = ("lines_total", "discount", "tax", "total")

def money(**fields):
    return models.DecimalField(decimal_places=2, editable=False, max_digits=12, **fields)


class Migration(migrations.Migration):
    dependencies = [
        ("sales", "0004_why_a_wish_was_not_told"),
    ]

    operations = [
        migrations.AddField(
            model_name="document",
            name="credits",
            field=models.ForeignKey(
                blank=True,
                help_text="The invoice that a credit note puts right.",
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="credit_notes",
                to="sales.document",
            ),
        ),
        *(migrations.AddField(model_name="document", name=name, field=money(null=True)) for name in SUMS),
        migrations.AlterField(
            model_name="document",
            name="kind",
            field=models.CharField(
                choices=[
                    ("quote", "Quote"),
                    ("delivery", "Delivery note"),
                    ("invoice", "Invoice"),
                    ("credit", "Credit note"),
                ],
                max_length=8,
            ),
        ),
        migrations.AddField(
            model_name="order",
            name="credited",
            field=money(default=Decimal(0), help_text="Of its invoice, by credit notes for some lines."),
        ),
        migrations.AddField(
            model_name="orderline",
            name="credited_by",
            field=models.ForeignKey(
                blank=True,
                help_text="The credit note that took it off the invoice.",
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="credited_lines",
                to="sales.document",
            ),
        ),
        migrations.AddField(
            model_name="salesettings",
            name="credit_prefix",
            field=models.CharField(blank=True, default="C-", max_length=8),
        ),
    ]
