"""An issued document as PDF, to print or to send."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from sales.models import Document
from sales.services.document_pdf import document_pdf as pdf_of
from sales.services.printed_document import PrintedDocument, printed_document


def document_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Opened in the browser; every figure is the one that was kept on its day."""
    document = get_object_or_404(Document, pk=pk)
    return pdf_answer(printed_document(document.figures), request.yard.units)


def pdf_answer(document: PrintedDocument, units: str) -> HttpResponse:
    """The file, under a name that says what it is."""
    answer = HttpResponse(pdf_of(document, units=units), content_type="application/pdf")
    name = "".join(sign if sign.isalnum() else "-" for sign in f"{document.title} {document.number}".lower())
    answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return answer
