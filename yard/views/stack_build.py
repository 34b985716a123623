"""Building a stack: scan, type or pick slabs, see what they come to, say where it stands."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render

from yard.forms.service_errors import add_refusal
from yard.forms.stack_form import SHAPE, StackNewForm, at_or_now
from yard.models import Slab, Stack
from yard.services.loose_slabs import loose_of_log, loose_slabs
from yard.services.memberships import members
from yard.services.stack_cautions import loader_words, stack_cautions
from yard.services.stack_drawing import stack_drawing
from yard.services.stack_figures import stack_figures
from yard.services.stacks import stack_build as build
from yard.services.stacks import stack_restack, stack_tag_suggest
from yard.services.stale_estimates import estimates_refresh_stack
from yard.services.stays import bay_full_warning
from yard.services.typed_slabs import slabs_typed

KEPT_FROM_LAST = (*SHAPE, "covered")


def stack_build(request: HttpRequest) -> HttpResponse:
    """The form. Its other buttons: `pick` adds what was ticked, `log` a whole log, `find` finds, `look` reckons."""
    if request.method == "GET":
        return _page(request, StackNewForm(initial=_first(request.GET)), request.GET)
    if request.POST.keys() & {"pick", "log", "find", "look"}:
        return _page(request, _not_sent_yet(request.POST), request.POST)
    form = StackNewForm(request.POST)
    valid = form.is_valid()
    if "only_figures" in request.POST:
        return render(request, "yard/stack_build.html#figures", figures_context(form.typed.slabs, form))
    stack = _built(request, form) if valid else None
    if stack is None:
        return _page(request, form, request.POST, status=422)
    estimates_refresh_stack(stack=stack, because=f"built by {request.user}")
    messages.success(request, f"Stack {stack.tag} stands in {stack.bay.name}.")
    if warning := bay_full_warning(stack.bay):
        messages.warning(request, warning)
    return redirect("yard:stack-page", pk=stack.pk)


def _built(request: HttpRequest, form: StackNewForm) -> Stack | None:
    """The new stack, or nothing, with what was refused in the form."""
    data = form.cleaned_data
    work = stack_restack if data["restack"] else build
    try:
        return work(
            tag=data["tag"], slabs=form.typed.slabs, courses=form.course_numbers(), bay=data["bay"],
            at=at_or_now(data["at"]), by=request.user, **form.shape_fields(),
        )  # fmt: skip
    except ValidationError as error:
        add_refusal(form, error)
    return None


def figures_context(slabs: list[Slab], form: StackNewForm) -> dict[str, Any]:
    """What the slabs typed so far come to."""
    shape = form.shape()
    pairs = list(zip(slabs, form.course_numbers(), strict=True))
    cohorts = {slab.cohort_id: slab.cohort for slab in slabs if slab.cohort}
    figures = stack_figures(shape=shape, pairs=pairs, cohorts=cohorts)
    elsewhere = [slab for slab in slabs if slab.stack_id]
    return {
        "figures": figures,
        "shape": shape,
        "drawing": stack_drawing(shape=shape, courses=figures.courses),
        "cautions": stack_cautions(shape=shape, figures=figures),
        "loader_words": loader_words(figures),
        "typed": form.typed,
        "elsewhere": elsewhere,
    }


def _page(request: HttpRequest, form: StackNewForm, asked: QueryDict, status: int = 200) -> HttpResponse:
    if not form.is_bound:
        form.fields["slabs"].typed = slabs_typed(form.initial["slabs"])
    context = {"form": form, "words": asked.get("words", ""), **figures_context(form.typed.slabs, form)}
    context["sizes_open"] = any(name in form.errors for name in (*SHAPE, "target_mc_pct", "note"))
    if asked.keys() & {"find", "pick"} or asked.get("words") or not form.typed.slabs:
        context["loose"] = loose_slabs(asked.get("words", ""))
    return render(request, "yard/stack_build.html", context, status=status)


def _not_sent_yet(asked: QueryDict) -> StackNewForm:
    """What was typed, with the slabs picked; nothing is called wrong before it is sent."""
    typed = asked.copy()
    typed["slabs"] = _with_picked(asked)
    form = StackNewForm(typed)
    form.is_valid()
    form.errors.clear()
    return form


def _first(asked: QueryDict) -> dict[str, Any]:
    """The form as it opens: the next tag, the last stack's sizes and bay, and slabs that came along."""
    last = Stack.objects.order_by("-id").select_related("bay").first()
    usual = last or Stack()
    first: dict[str, Any] = {name: getattr(usual, name) for name in KEPT_FROM_LAST}
    first |= {"tag": stack_tag_suggest(), "bay": last.bay_id if last else None, "courses": "fill"}
    first["top_weight_lb"] = None  # of that stack alone
    first["slabs"] = "\n".join(slab.tag for slab in _brought(asked))
    first["restack"] = "restack" in asked
    return first


def _brought(asked: QueryDict) -> list[Slab]:
    """Slabs named in the address: `slabs=1,2,3`, `slab=1&slab=2`, `log=7` or, to restack, `stack=4`."""
    if asked.get("log", "").isdigit():
        return loose_of_log(int(asked["log"]))
    if asked.get("stack", "").isdigit():
        stack = Stack.objects.filter(pk=asked["stack"]).first()
        return [row.slab for row in members(stack)] if stack else []
    ids = [int(one) for one in [*asked.get("slabs", "").split(","), *asked.getlist("slab")] if one.isdigit()]
    found = Slab.objects.in_bulk(ids[:2000])
    return [found[pk] for pk in dict.fromkeys(ids) if pk in found]


def _with_picked(asked: QueryDict) -> str:
    """The text of slabs with those ticked, or a whole log's, on further lines."""
    lines = [asked.get("slabs", "").rstrip()]
    if "pick" in asked:
        picked = Slab.objects.in_bulk([int(pk) for pk in asked.getlist("picked") if pk.isdigit()])
        lines += [picked[int(pk)].tag for pk in asked.getlist("picked") if pk.isdigit() and int(pk) in picked]
    if asked.get("log", "").isdigit():
        lines += [slab.tag for slab in loose_of_log(int(asked["log"]))]
    return "\n".join(line for line in lines if line)
