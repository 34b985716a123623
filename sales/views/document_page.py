"""An issued document as it was on its day."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from sales.models import Document
from sales.services.printed_document import printed_document


def document_page(request: HttpRequest, pk: int) -> HttpResponse:
    """All figures come from what was kept, none from the order as it stands now."""
    document = get_object_or_404(Document.objects.select_related("order__buyer", "issued_by"), pk=pk)
    printed = printed_document(document.figures)
    context = {"document": document, "figures": document.figures, "printed": printed}
    return render(request, "sales/document_page.html", context)
