"""A form that was sent: kept by a service, or shown again with what the service refused beside its field."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Model
from django.http import HttpRequest

from yard.forms.service_errors import add_refusal
from yard.services.changed_meanwhile import ChangedMeanwhile
from yard.services.refused import Refused
from yard.wood.ranges import OutsideRange


def answered(
    request: HttpRequest,
    form: forms.Form,
    work: Callable[[], object],
    shown: Callable[[Any], dict[str, Any]] = lambda row: {},
) -> int:
    """Do the work of a form that was sent; the status to answer with: 200, 302 when done, 409 or 422.

    Parameters: shown gives a row's values as the form shows them, for somebody who changed it meanwhile.
    """
    if request.method != "POST":
        return 200
    if not form.is_valid():
        return 422
    try:
        work()
    except ChangedMeanwhile as error:
        current: Model = error.current
        form.show_changed_meanwhile(current, shown(current), str(error))
        return 409
    except (Refused, OutsideRange) as error:
        put_refusal(form, error)
        return 422
    except ValidationError as error:
        add_refusal(form, error)
        return 422
    return 302


def put_refusal(form: forms.Form, error: ValueError) -> None:
    """Put the words beside the field that they are about, or above the form."""
    field = getattr(error, "field", "")
    form.add_error(field if field in form.fields else None, str(error))
