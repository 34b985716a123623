"""Adding photos to a log, a slab, a stack or what else keeps some, and removing one."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Model
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from yard.forms.photo_form import PhotoForm
from yard.models import Photo
from yard.services.photo_things import KINDS, kind_of, thing_of
from yard.services.photos import photo_add as add
from yard.services.photos import photo_remove as remove
from yard.templatetags.photos import photo_context


def photo_add(request: HttpRequest, noun: str, pk: int) -> HttpResponse:
    """Keep what was chosen and show the photos again; without a script, go back to the thing's page."""
    if noun not in KINDS:
        raise Http404
    thing = get_object_or_404(KINDS[noun].model, pk=pk)
    form = PhotoForm(request.POST or None, request.FILES or None) if request.method == "POST" else PhotoForm()
    if request.method == "POST" and form.is_valid() and _added(request, thing, form):
        if not request.htmx:
            return redirect(KINDS[noun].page, pk=pk)
        return _shown(request, thing, None, 200, kept=True)
    return _shown(request, thing, form, 422 if form is not None and form.errors else 200)


def photo_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take one photo away."""
    photo = get_object_or_404(Photo, pk=pk)
    thing = thing_of(photo)
    remove(photo=photo, by=request.user)
    if request.htmx:
        return _shown(request, thing, None, 200)
    messages.success(request, "The photo is removed.")
    return redirect(kind_of(thing).page, pk=thing.pk)


def _added(request: HttpRequest, thing: Model, form: PhotoForm) -> bool:
    """Keep each picture; one that cannot be read is named, those before it stay."""
    kept = 0
    for upload, key in zip(form.cleaned_data["photos"], form.keys(), strict=True):
        try:
            add(
                thing=thing,
                upload=upload,
                by=request.user,
                caption=form.cleaned_data["caption"],
                client_key=key,
                time_zone=request.yard.time_zone,
            )
            kept += 1
        except ValidationError as error:
            form.add_error("photos", f"{upload.name}: {error.messages[0]}")
    if form.errors and kept:
        form.add_error("photos", f"The other {kept} {'is' if kept == 1 else 'are'} kept.")
    return not form.errors


def _shown(
    request: HttpRequest, thing: Model, form: PhotoForm | None, status: int, *, kept: bool = False
) -> HttpResponse:
    context = photo_context(request, thing, list(thing.photos.all()), form)
    context |= {"back": reverse(kind_of(thing).page, args=[thing.pk]), "kept": kept}
    template = "yard/_photos.html" if request.htmx else "yard/photo_add.html"
    return render(request, template, context, status=status)
