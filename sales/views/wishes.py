"""Everything that buyers like to be told of, with what is ready of it."""

from django.conf import settings
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from sales.models import Wish
from sales.services.stock_value import is_large_yard
from sales.services.wish_matches import ready_counts
from sales.services.wishes import wish_words

ROWS = 25


def wishes(request: HttpRequest) -> HttpResponse:
    """The open ones, the newest first; in a large yard what is ready is counted when somebody asks."""
    found = Wish.objects.filter(closed_at__isnull=True).select_related("buyer")
    page = Paginator(found, ROWS).get_page(request.GET.get("page"))
    waits = "ready" not in request.GET and is_large_yard()
    ready = {} if waits else ready_counts(list(page.object_list))
    rows = [(wish, wish_words(wish), *ready.get(wish.pk, (0, 0.0))) for wish in page.object_list]
    context = {"page": page, "rows": rows, "mails": bool(settings.EMAIL_URL), "waits": waits}
    return render(request, "sales/wishes.html", context)
