"""Letting people in, and giving them a role."""

from django import forms
from django.contrib.auth.forms import SetPasswordForm
from django.contrib.auth.validators import UnicodeUsernameValidator

from yard.models import Person, Role

ROLE_WORDS = {
    Role.OWNER: "Owner: everything, with people, money and settings",
    Role.HAND: "Hand: logs, saw, stacks, weighings",
    Role.VIEWER: "Viewer: looks, changes nothing",
}


class RoleForm(forms.Form):
    """One of the three roles."""

    role = forms.ChoiceField(choices=list(ROLE_WORDS.items()), widget=forms.RadioSelect, initial=Role.HAND)


class JoinForm(SetPasswordForm):
    """Whoever opened a one-time link chooses a name to log in with and a password."""

    username = forms.CharField(
        label="Name to log in with",
        max_length=40,
        validators=[UnicodeUsernameValidator(message="Letters, digits and @ . + - _ only, no spaces.")],
        widget=forms.TextInput(attrs={"autocapitalize": "none", "autocomplete": "username", "spellcheck": "false"}),
    )
    first_name = forms.CharField(label="First name", max_length=150, required=False)
    last_name = forms.CharField(label="Last name", max_length=150, required=False)
    field_order = ("username", "first_name", "last_name", "new_password1", "new_password2")

    def clean_username(self) -> str:
        username = self.cleaned_data["username"]
        if Person.objects.filter(username__iexact=username).exists():
            raise forms.ValidationError("Somebody has this name already: choose another.")
        return username
