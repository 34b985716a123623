"""Weighing: find the piece by its label, or take the next one that is worth it."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from yard.forms.weigh_forms import WeighFindForm
from yard.services.weigh_subject import weigh_find
from yard.services.weighing_round import recently_weighed, worth_weighing


def weigh(request: HttpRequest) -> HttpResponse:
    """The box for a code or tag, what is worth weighing today, and what was weighed last."""
    form = WeighFindForm(request.GET or None)
    asked = form.cleaned_data["q"].strip() if form.is_valid() else ""
    found = weigh_find(asked)
    if len(found) == 1:
        return redirect("yard:weigh-stack" if found[0].kind == "stack" else "yard:weigh-sample", code=found[0].code)
    context = {"form": form, "asked": asked, "found": found}
    if not asked:
        context |= {"worth": worth_weighing(), "recent": recently_weighed(by=request.user)}
    return render(request, "yard/weigh.html", context)
