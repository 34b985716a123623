"""Bringing in a spreadsheet: choose the file, say what its columns are, look at the rows, import all or nothing."""

from dataclasses import replace

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.forms.import_forms import ImportColumnsForm, ImportFileForm, UnclearSpeciesForm
from yard.models import ImportFile, ImportKind
from yard.services.export_lists import LISTS
from yard.services.import_rows import Reading
from yard.services.imports import (
    ImportRefused,
    import_choices,
    import_choose,
    import_drop,
    import_file_add,
    import_headings,
    import_preview,
    import_run,
    import_sample,
)
from yard.services.spreadsheets import UnreadableFile
from yard.shown_units import shown

PROBLEMS_SHOWN = 200
ROWS_SHOWN = 20
FILES_SHOWN = 20


def import_page(request: HttpRequest) -> HttpResponse:
    """The form for a file, and the files of before."""
    form = ImportFileForm(
        request.POST or None, request.FILES or None, initial={"kind": request.GET.get("kind", "logs")}
    )
    if request.method == "POST" and form.is_valid():
        upload, kind = form.cleaned_data["file"], form.cleaned_data["kind"]
        try:
            file = import_file_add(
                kind=kind, name=upload.name, data=upload.read(), by=request.user, metric=shown().metric
            )
        except UnreadableFile as error:
            form.add_error("file", str(error))
        else:
            return redirect("yard:import-columns", pk=file.pk)
    files = ImportFile.objects.filter(dropped_at=None).defer("text").select_related("by").order_by("-made_at", "-id")
    status = 422 if request.method == "POST" else 200
    context = {"form": form, "files": files[:FILES_SHOWN], "lists": LISTS}
    return render(request, "yard/import.html", context, status=status)


def import_columns(request: HttpRequest, pk: int) -> HttpResponse:
    """What each column is; guessed, or as it was for the last file with these headings."""
    file = _open_file(pk)
    if not file.is_open:
        return redirect("yard:import")
    before = import_choices(file)
    form = ImportColumnsForm(request.POST or None, file=file, headings=import_headings(file), choices=before)
    if request.method == "POST" and form.is_valid():
        import_choose(file=file, choices=form.choices(before))
        return redirect("yard:import-rows", pk=pk)
    context = {"file": file, "form": form, "columns": form.columns(import_sample(file))}
    status = 422 if request.method == "POST" else 200
    return render(request, "yard/import_columns.html", context, status=status)


def import_rows(request: HttpRequest, pk: int) -> HttpResponse:
    """Every row looked at; a POST says which wood an unclear name is, or imports them all."""
    file = _open_file(pk)
    if not file.is_open:
        messages.info(request, "This file was imported or dropped already.")
        return redirect("yard:import")
    if "species" in request.POST:
        return _species_said(request, file)
    refused = ""
    if request.method == "POST":
        try:
            count = import_run(file=file, by=request.user)
        except ImportRefused as error:
            refused = str(error)
        else:
            noun = "log" if file.kind == ImportKind.LOGS else "slab"
            messages.success(request, f"{count:,} {noun}{'' if count == 1 else 's'} came in from {file.name}.")
            return redirect("yard:logs" if file.kind == ImportKind.LOGS else "yard:slabs")
    reading = import_preview(file)
    return _rows(request, file, reading, UnclearSpeciesForm(None, unclear=reading.unclear_species), refused)


def import_put_aside(request: HttpRequest, pk: int) -> HttpResponse:
    """Do not import this file after all."""
    import_drop(file=get_object_or_404(ImportFile, pk=pk))
    messages.success(request, "The file is put aside; nothing of it was saved.")
    return redirect("yard:import")


def _open_file(pk: int) -> ImportFile:
    return get_object_or_404(ImportFile, pk=pk)


def _species_said(request: HttpRequest, file: ImportFile) -> HttpResponse:
    reading = import_preview(file)
    form = UnclearSpeciesForm(request.POST, unclear=reading.unclear_species)
    if not form.is_valid():
        return _rows(request, file, reading, form)
    choices = import_choices(file)
    import_choose(file=file, choices=replace(choices, species=choices.species | form.species()))
    return redirect("yard:import-rows", pk=file.pk)


def _rows(
    request: HttpRequest, file: ImportFile, reading: Reading, form: UnclearSpeciesForm, refused: str = ""
) -> HttpResponse:
    wrong_rows = {problem.row for problem in reading.problems}
    to_mend = [problem for problem in reading.problems if not problem.asked]
    context = {
        "file": file,
        "reading": reading,
        "problems": to_mend[:PROBLEMS_SHOWN],
        "problems_more": max(0, len(to_mend) - PROBLEMS_SHOWN),
        "wrong_rows": len(wrong_rows),
        "shown": reading.rows_read[:ROWS_SHOWN],
        "form": form,
        "refused": refused,
        "is_logs": file.kind == ImportKind.LOGS,
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "yard/import_rows.html", context, status=status)
