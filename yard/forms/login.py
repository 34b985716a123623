"""Logging in by name."""

from django import forms
from django.contrib.auth.forms import AuthenticationForm

from yard.models import Person


class LoginForm(AuthenticationForm):
    """Name and password; a phone's capital first letter does not matter."""

    error_messages = {
        "invalid_login": "This name and password do not fit together. Mind capitals in the password.",
        "inactive": "This account has been closed. The yard's owner can open it again.",
    }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["username"].label = "Name"
        self.fields["username"].widget.attrs |= {"autocapitalize": "none", "spellcheck": "false"}
        self.fields["username"].widget.attrs.pop("autofocus", None)
        self.fields["password"].widget = forms.PasswordInput(attrs={"autocomplete": "current-password"})

    def clean_username(self) -> str:
        typed = self.cleaned_data["username"].strip()
        names = Person.objects.filter(username__iexact=typed).values_list("username", flat=True)
        return names[0] if len(names) == 1 else typed
