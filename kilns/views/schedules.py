"""The list of schedules kept, and finding a published one."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from kilns.forms.schedule_form import ScheduleFindForm
from kilns.models import Schedule


def schedules(request: HttpRequest) -> HttpResponse:
    """The yard's schedules; hidden ones when asked for."""
    hidden = request.GET.get("hidden") == "yes"
    rows = Schedule.objects.filter(hidden_at__isnull=not hidden).prefetch_related("steps")
    context = {"schedules": rows, "hidden": hidden, "form": ScheduleFindForm()}
    return render(request, "kilns/schedules.html", context)
