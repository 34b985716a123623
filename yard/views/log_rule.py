"""Putting a log on another ticket rule: a step of its own, with its reason kept."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.forms.log_form import LogRuleForm
from yard.models import Log
from yard.services.log_scale import log_scale
from yard.services.logs import ChangedMeanwhile, log_rule_change
from yard.services.refused import LogRefused


def log_rule(request: HttpRequest, pk: int) -> HttpResponse:
    """The rules with their figures, the reason, and what the change means."""
    log = get_object_or_404(Log, pk=pk)
    form = LogRuleForm(request.POST or None, initial={"rule": log.rule, "version": log.version})
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                log_rule_change(by=request.user, log=log, **form.cleaned_data)
            except ChangedMeanwhile as error:
                form.show_changed_meanwhile(error.current, {"rule": error.current.rule}, str(error))
                status = 409
            except LogRefused as error:
                form.add_error(error.field or None, str(error))
            else:
                messages.success(request, "The ticket's rule is changed; the history says why.")
                return redirect("yard:log-page", pk=log.pk)
    scale = log_scale(log.small_end_in, log.large_end_in, log.length_ft, defect_pct=log.defect_pct, rule=log.rule)
    context = {"form": form, "log": log, "scale": scale, "missing": []}
    return render(request, "yard/log_rule.html", context, status=status)
