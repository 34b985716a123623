from decimal import Decimal

from django.db import migrations

SUMS = ("lines_total", "discount", "tax", "total")
BATCH = 500


def sums_of_invoices(apps, schema_editor):
    """Invoices that were issued before get the sums that they print as columns, too."""
    documents = apps.get_model("sales", "Document")
    rows = documents.objects.filter(kind="invoice").only("figures", *SUMS)
    for start in range(0, rows.count(), BATCH):
        some = list(rows.order_by("pk")[start : start + BATCH])
        for row in some:
            for name in SUMS:
                setattr(row, name, Decimal(row.figures[name]))
        documents.objects.bulk_update(some, SUMS)


class Migration(migrations.Migration):
    dependencies = [
        ("sales", "0005_credit_notes"),
    ]

    operations = [migrations.RunPython(sums_of_invoices, migrations.RunPython.noop, elidable=True)]
