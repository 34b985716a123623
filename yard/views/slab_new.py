"""Adding sawn wood that came without a log."""

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from yard.forms.slab_form import SlabNewForm
from yard.models import Slab, SlabKind
from yard.services.dry_slabs import slabs_call_dry
from yard.services.refused import Refused
from yard.services.slabs import slab_add
from yard.views.saw_log import put_error
from yard.wood.ranges import OutsideRange

KEPT_FOR_ANOTHER = ("species_key", "owner", "kind", "sawn_on", "thickness_in", "length_in", "grade")


def slab_new(request: HttpRequest) -> HttpResponse:
    """The form; "add, then another" opens it again with what mostly stays the same."""
    if request.method == "GET":
        first = {"kind": SlabKind.BOARD, "sawn_on": timezone.localdate(), "area_rule": "trapezoid"}
        return render(request, "yard/slab_new.html", {"form": SlabNewForm(initial=first | _kept(request))})
    form = SlabNewForm(request.POST)
    slab = _added(request, form) if form.is_valid() else None
    if slab is None:
        return render(request, "yard/slab_new.html", {"form": form}, status=422)
    messages.success(request, f"{slab.tag} is added.")
    if "another" not in request.POST:
        return redirect("yard:slab-page", pk=slab.pk)
    return redirect(f"{reverse('yard:slab-new')}?like={slab.pk}")


def _added(request: HttpRequest, form: SlabNewForm) -> Slab | None:
    data = form.cleaned_data
    try:
        with transaction.atomic():
            slab = slab_add(by=request.user, client_key=data["client_key"], **form.values())
            if data["dry_on"] and slab.dry_on is None:
                slabs_call_dry(slabs=[slab], mc_pct=data["dry_mc_pct"], on=data["dry_on"], by=request.user)
            return slab
    except (Refused, OutsideRange) as error:
        put_error(form, error)
        return None


def _kept(request: HttpRequest) -> dict:
    typed = request.GET.get("like", "")
    like = Slab.objects.filter(pk=typed).first() if typed.isascii() and typed.isdigit() else None
    return {name: getattr(like, name) for name in KEPT_FOR_ANOTHER} if like else {}
