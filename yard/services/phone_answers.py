"""What the records that a phone sent changed, in a sentence each; estimates are made anew once for all of them."""

from collections.abc import Sequence

from yard import quantities as shown
from yard.models import MeterReading, OvenSection, PhoneRecord, Record, Slab, StackWeighing, Weighing
from yard.services.record_answer import answers, cohorts_of, estimates_after

RECORDS: dict[str, type[Record]] = {
    model._meta.model_name: model for model in (Weighing, OvenSection, MeterReading, StackWeighing)
}  # fmt: skip


def phone_answers(receipts: Sequence[PhoneRecord], *, because: str) -> dict[int, str]:
    """A sentence for each receipt, by its id: MC now and ready date of its wood, or the footage of a slab."""
    records = {receipt.pk: _record(receipt) for receipt in receipts if receipt.table in RECORDS}
    cohorts = {
        cohort.pk: cohort
        for record in records.values()
        if record is not None
        for cohort in cohorts_of(record)
        if cohort.stale_since is not None
    }
    trouble = estimates_after(cohorts=cohorts.values(), because=because[:120]) if cohorts else ""
    said = {pk: trouble or _in_words(record) for pk, record in records.items() if record is not None}
    return said | {receipt.pk: _slab_words(receipt) for receipt in receipts if receipt.table == "slab"}


def _record(receipt: PhoneRecord) -> Record | None:
    return RECORDS[receipt.table].objects.filter(pk=receipt.row_id).first()


def _in_words(record: Record) -> str:
    return " ".join(answer.in_words() for answer in answers(record))


def _slab_words(receipt: PhoneRecord) -> str:
    slab = Slab.objects.filter(pk=receipt.row_id).first()
    return f"{slab.tag}: {shown.bf(slab.green_bf)}." if slab else ""
