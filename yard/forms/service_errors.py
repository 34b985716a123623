"""What a service refuses, put beside the field that it is about."""

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError


def add_refusal(form: forms.Form, error: ValidationError) -> None:
    """Add a service's ValidationError to a form: by field where the form has it, else to the form as a whole."""
    by_field = error.message_dict if hasattr(error, "error_dict") else {NON_FIELD_ERRORS: error.messages}
    for field, messages in by_field.items():
        form.add_error(field if field in form.fields else None, messages)
