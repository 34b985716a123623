"""The kinds of thing that keep photos: which table holds them, and which page shows them.

Another app adds its own in its `AppConfig.ready`: `register(PhotoThing("run", Run, RunPhoto, "kilns:run-page"))`, where
`RunPhoto` is a `Photo` with a foreign key `run` whose `related_name` is `photos`. Whatever a photo hangs on, it is
read, made smaller, stripped, served and removed by the same code.
"""

from dataclasses import dataclass

from django.db.models import Model

from yard.models import Log, Photo, Slab, Stack


@dataclass(frozen=True)
class PhotoThing:
    """One kind. `photos` has a foreign key named `noun`; `at_hand`: the form stands open, for whoever comes gloved."""

    noun: str
    model: type[Model]
    photos: type[Photo]
    page: str
    at_hand: bool = False

    @property
    def other(self) -> str:
        """What its photos say of themselves where the thing is another app's."""
        return "" if self.photos is Photo else self.noun


KINDS: dict[str, PhotoThing] = {}


def register(kind: PhotoThing) -> None:
    """Let a kind of thing keep photos."""
    KINDS[kind.noun] = kind


for noun, model in (("log", Log), ("slab", Slab), ("stack", Stack)):
    register(PhotoThing(noun, model, Photo, f"yard:{noun}-page"))


def kind_of(thing: Model) -> PhotoThing:
    """The kind of a thing. Errors: KeyError for one that keeps no photos."""
    return KINDS[str(thing._meta.model_name)]


def thing_of(photo: Photo) -> Model:
    """What a photo hangs on."""
    kind = KINDS[photo.other or next(noun for noun in ("log", "slab", "stack") if getattr(photo, f"{noun}_id"))]
    row = kind.photos._default_manager.select_related(kind.noun).get(pk=photo.pk)
    found: Model = getattr(row, kind.noun)
    return found
