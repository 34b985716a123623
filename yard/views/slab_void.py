"""Making a slab void that was entered by mistake."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.forms.slab_form import SlabVoidForm
from yard.models import Slab
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.refused import Refused
from yard.services.slabs import slab_void as make_void


def slab_void(request: HttpRequest, pk: int) -> HttpResponse:
    """Asks why, and says what becomes of the record."""
    slab = get_object_or_404(Slab.objects.select_related("stack"), pk=pk)
    form = SlabVoidForm(request.POST or None, initial={"version": slab.version})
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                make_void(by=request.user, slab=slab, **form.cleaned_data)
            except ChangedMeanwhile as error:
                form.show_changed_meanwhile(error.current, {}, str(error))
                status = 409
            except Refused as error:
                form.add_error(error.field if error.field in form.fields else None, str(error))
            else:
                messages.success(request, f"{slab.tag} is void. Its record is kept, and its tag is free again.")
                return redirect("yard:slab-page", pk=pk)
    return render(request, "yard/slab_void.html", {"form": form, "slab": slab}, status=status)
