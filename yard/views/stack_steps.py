"""What is done to a standing stack: move it, lay slabs on it, take slabs out, take it down."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from yard.forms.service_errors import add_refusal
from yard.forms.stack_form import StackAddForm, StackMoveForm, StackTakeDownForm, StackTakeOutForm, at_or_now
from yard.models import Slab, Stack
from yard.services.loose_slabs import loose_slabs
from yard.services.memberships import listed, members
from yard.services.stack_list import bays_with_room
from yard.services.stacks import stack_add_slabs
from yard.services.stacks import stack_move as move
from yard.services.stacks import stack_take_down as take_down
from yard.services.stacks import stack_take_out as take_out
from yard.services.stale_estimates import estimates_refresh_stack
from yard.services.stays import bay_full_warning

BACK_TO = {"map": "yard:map", "stacks": "yard:stacks"}


def stack_move(request: HttpRequest, pk: int) -> HttpResponse:
    """Every bay as a button: the second tap moves the stack there."""
    stack = _standing(pk)
    form = StackMoveForm(request.POST or None)

    def work(data: dict[str, Any]) -> HttpResponse:
        move(stack=stack, bay=data["bay"], at=at_or_now(data["at"]), by=request.user, note=data["note"])
        estimates_refresh_stack(stack=stack, because=f"moved by {request.user}")
        messages.success(request, f"{stack.tag} stands in {data['bay'].name} now.")
        if warning := bay_full_warning(data["bay"]):
            messages.warning(request, warning)
        return _back(request, stack)

    context = {"bays": bays_with_room(), "came_from": _came_from(request)}
    return _step(request, "yard/stack_move.html", stack, form, work, context)


def stack_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Loose slabs laid on top, typed or picked."""
    stack = _standing(pk)
    typed = request.POST.copy() if request.method == "POST" else None
    if typed is not None and "pick" in typed:
        tags = Slab.objects.filter(pk__in=[int(one) for one in typed.getlist("picked") if one.isdigit()])
        typed["slabs"] = "\n".join([typed.get("slabs", "").rstrip(), *tags.values_list("tag", flat=True)]).strip()
    form = StackAddForm(typed)

    def work(data: dict[str, Any]) -> HttpResponse:
        slabs = form.fields["slabs"].typed.slabs
        stack_add_slabs(stack=stack, slabs=slabs, at=at_or_now(data["at"]), by=request.user)
        estimates_refresh_stack(stack=stack, because=f"slabs added by {request.user}")
        messages.success(request, f"On {stack.tag} now: {listed(slab.tag for slab in slabs)}.")
        return redirect("yard:stack-page", pk=stack.pk)

    words = (typed or request.GET).get("words", "")
    context = {"loose": loose_slabs(words), "words": words}
    only_looking = typed is not None and bool(typed.keys() & {"pick", "find"})
    return _step(request, "yard/stack_add.html", stack, form, work, context, only_looking)


def stack_take_out(request: HttpRequest, pk: int) -> HttpResponse:
    """The slabs ticked on the stack's page, to be taken out."""
    stack = _standing(pk)
    asked = request.POST if request.method == "POST" else request.GET
    ids = {int(one) for one in asked.getlist("slab") if one.isdigit()}
    slabs = [row.slab for row in members(stack) if row.slab_id in ids]
    form = StackTakeOutForm(request.POST or None)

    def work(data: dict[str, Any]) -> HttpResponse:
        at = at_or_now(data["at"])
        take_out(stack=stack, slabs=slabs, at=at, by=request.user, lie_in=data["lie_in"])
        estimates_refresh_stack(stack=stack, because=f"slabs taken out by {request.user}")
        messages.success(request, f"Out of {stack.tag}: {listed(slab.tag for slab in slabs)}.")
        return redirect("yard:stack-page", pk=stack.pk)

    if not slabs:
        messages.warning(request, "Tick the slabs that come out first.")
        return redirect("yard:stack-page", pk=stack.pk)
    return _step(request, "yard/stack_take_out.html", stack, form, work, {"slabs": slabs})


def stack_take_down(request: HttpRequest, pk: int) -> HttpResponse:
    """The end of a stack; its slabs lie loose where it stood."""
    stack = _standing(pk)
    form = StackTakeDownForm(request.POST or None)

    def work(data: dict[str, Any]) -> HttpResponse:
        take_down(stack=stack, at=at_or_now(data["at"]), by=request.user, note=data["note"])
        messages.success(request, f"{stack.tag} is taken down; its slabs lie loose.")
        return redirect("yard:stack-page", pk=stack.pk)

    return _step(request, "yard/stack_take_down.html", stack, form, work, {"pieces": members(stack).count()})


def _standing(pk: int) -> Stack:
    return get_object_or_404(Stack.objects.select_related("bay"), pk=pk)


def _step(
    request: HttpRequest,
    template: str,
    stack: Stack,
    form: forms.Form,
    work: Callable[[dict[str, Any]], HttpResponse],
    context: dict[str, Any],
    only_looking: bool = False,
) -> HttpResponse:
    """The form of one step; sent well it does the work, refused it comes back with the reason."""
    if stack.taken_down_at is not None:
        messages.warning(request, f"{stack.tag} was taken down.")
        return redirect("yard:stack-page", pk=stack.pk)
    status = 200
    if only_looking:
        form.is_valid()
        form.errors.clear()
    elif request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                return work(form.cleaned_data)
            except ValidationError as error:
                add_refusal(form, error)
    return render(request, template, {"stack": stack, "form": form, **context}, status=status)


def _came_from(request: HttpRequest) -> str:
    asked = request.POST if request.method == "POST" else request.GET
    return asked.get("from", "") if asked.get("from", "") in BACK_TO else ""


def _back(request: HttpRequest, stack: Stack) -> HttpResponse:
    came_from = _came_from(request)
    return redirect(BACK_TO[came_from]) if came_from else redirect("yard:stack-page", pk=stack.pk)
