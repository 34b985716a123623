"""Changing a standing stack: its tag, stickers, sizes, target, and how its courses lie."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.forms.service_errors import add_refusal
from yard.forms.stack_form import StackEditForm
from yard.models import Stack
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.memberships import members
from yard.services.stacks import StackFields, stack_arrange, stack_change
from yard.services.stale_estimates import estimates_refresh_stack


def stack_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """The form with the stack's values; two people editing it notice each other."""
    stack = get_object_or_404(Stack, pk=pk)
    initial = _initial_of(stack)
    form = StackEditForm(request.POST or None, initial=initial)
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                _save(request, stack, form, initial)
            except ChangedMeanwhile as error:
                form.show_changed_meanwhile(error.current, _initial_of(error.current), str(error))
                status = 409
            except ValidationError as error:
                add_refusal(form, _beside_layout(error))
            else:
                estimates_refresh_stack(stack=stack, because=f"stack changed by {request.user}")
                messages.success(request, "Kept.")
                return redirect("yard:stack-page", pk=pk)
    return render(request, "yard/stack_edit.html", {"form": form, "stack": stack}, status=status)


def _save(request: HttpRequest, stack: Stack, form: StackEditForm, initial: dict[str, Any]) -> None:
    """Figures and courses together or neither."""
    data = form.cleaned_data
    with transaction.atomic():
        stack_change(stack=stack, by=request.user, version=data["version"], tag=data["tag"], **form.shape_fields())
        typed = form.fields["layout"].typed
        if data["layout"].split() != initial["layout"].split() or len(typed.lines) != initial["layout"].count("\n") + 1:
            stack_arrange(stack=stack, slabs=typed.slabs, courses=typed.line_numbers, by=request.user)


def _initial_of(stack: Stack) -> dict[str, Any]:
    lines: dict[int, list[str]] = {}
    for row in members(stack):
        lines.setdefault(row.course or 0, []).append(row.slab.tag)
    layout = "\n".join(", ".join(tags) for _course, tags in sorted(lines.items()))
    fields = {name: getattr(stack, name) for name in StackFields.__annotations__}
    fields["top_weight_lb"] = stack.top_weight_lb or None
    return fields | {"tag": stack.tag, "version": stack.version, "layout": layout}


def _beside_layout(error: ValidationError) -> ValidationError:
    """A refusal about slabs belongs beside the courses here."""
    by_field = dict(error.message_dict) if hasattr(error, "error_dict") else {"__all__": error.messages}
    if "slabs" in by_field:
        by_field["layout"] = by_field.pop("slabs")
    return ValidationError(by_field)
