"""Taking up a kiln: from the example, or empty."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from kilns.forms.kiln_form import KilnNewForm
from kilns.services.example_build import example_build
from kilns.services.kilns import kiln_add
from yard.forms.service_errors import add_refusal


def kiln_new(request: HttpRequest) -> HttpResponse:
    """The form of a new kiln; afterwards its figures are corrected on its own pages."""
    form = KilnNewForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        build = example_build() if form.from_example else None
        try:
            kiln = kiln_add(by=request.user, bay=form.cleaned_data["bay"], build=build, **form.kiln_fields())
        except ValidationError as error:
            add_refusal(form, error)
        else:
            messages.success(request, f"{kiln.name} is added. Correct its figures, so that the sheet tells the truth.")
            return redirect("kilns:kiln-edit", pk=kiln.pk)
    status = 422 if request.method == "POST" else 200
    return render(request, "kilns/kiln_new.html", {"form": form}, status=status)
