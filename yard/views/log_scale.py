"""A log's scale while its sizes are typed."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from yard.forms.log_form import LogSizesForm
from yard.services.log_scale import LogScale, log_scale


def scale_typed(data: Any) -> dict[str, Any]:
    """The scale of sizes as typed so far, or what is still missing: what `_log_scale.html` shows."""
    form = LogSizesForm(data)
    valid = form.is_valid()
    sizes = form.cleaned_data
    small, length = sizes.get("small_end_in"), sizes.get("length_ft")
    if small is None or length is None:
        wrong = [f"{form[name].label}: {' '.join(errors)}" for name, errors in form.errors.items()]
        return {"scale": None, "missing": wrong}
    scale: LogScale = log_scale(
        small,
        sizes.get("large_end_in"),
        length,
        defect_pct=sizes.get("defect_pct") or 0.0,
        rule=sizes.get("rule", ""),
    )
    return {"scale": scale, "missing": [] if valid else [str(e) for es in form.errors.values() for e in es]}


def log_scale_now(request: HttpRequest) -> HttpResponse:
    """The three rules side by side for the sizes in the address."""
    return render(request, "yard/_log_scale.html", scale_typed(request.GET))
