"""Naming a sample: a cut board that is weighed again and again."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.forms.weigh_forms import SampleForm, cohort_words
from yard.models import Cohort, Sample
from yard.services.refused import Refused
from yard.services.samples import sample_add, sample_retire


def sample_new(request: HttpRequest, cohort_pk: int) -> HttpResponse:
    """Name it, and go on to weigh it."""
    cohort = get_object_or_404(Cohort.objects.select_related("stack"), pk=cohort_pk)
    form = SampleForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            sample = sample_add(cohort=cohort, by=request.user, **form.cleaned_data)
        except Refused as error:
            form.add_error("name", str(error))
        else:
            messages.success(request, f"{sample.name} is a sample now; its code is {sample.code}. Weigh it first.")
            return redirect("yard:weigh-sample", code=sample.code)
    context = {"form": form, "cohort": cohort, "cohort_words": cohort_words(cohort)}
    return render(request, "yard/sample_new.html", context, status=422 if form.errors else 200)


def sample_retire_now(request: HttpRequest, pk: int) -> HttpResponse:
    """Weigh this one no more."""
    sample = get_object_or_404(Sample.objects.select_related("cohort"), pk=pk)
    sample_retire(sample=sample, by=request.user)
    messages.success(request, f"{sample.name} is no longer on the list of samples. What it said stays.")
    return redirect("yard:stack-page", pk=sample.cohort.stack_id)
