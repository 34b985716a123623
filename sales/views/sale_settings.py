"""How the yard sells: habits of new orders, words on documents, what strangers may see."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from sales.forms.refusals import answered
from sales.forms.sale_settings_form import SaleSettingsForm, settings_values
from sales.services.sale_settings import sale_settings_change, the_sale_settings


def sale_settings(request: HttpRequest) -> HttpResponse:
    """One form; two people editing it notice each other."""
    form = SaleSettingsForm(request.POST or None, initial=settings_values(the_sale_settings()))

    def save() -> None:
        sale_settings_change(by=request.user, version=form.cleaned_data["version"], **form.values())

    status = answered(request, form, save, settings_values)
    if status == 302:
        messages.success(request, "Kept. Orders that are there keep their terms.")
        return redirect("sales:sale-settings")
    return render(request, "sales/sale_settings.html", {"form": form}, status=status)
