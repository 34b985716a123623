"""Suggestions while somebody types a species."""

from django.http import HttpRequest, JsonResponse

from yard.forms.species_field import MOST_SUGGESTED
from yard.wood.species import find_species


def species_suggest(request: HttpRequest) -> JsonResponse:
    """The likeliest woods for `?q=`, best first, each with its botanical name."""
    typed = request.GET.get("q", "").strip()[:80]
    found = find_species(typed)[:MOST_SUGGESTED] if typed else ()
    return JsonResponse({"found": [{"value": wood.plain_name, "about": wood.botanical_name} for wood in found]})
