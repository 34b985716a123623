"""Two people editing one row: both values are shown and what was typed is kept."""

from django import forms
from django.http import QueryDict
from django.template import engines

from tests.make import make_yard
from yard.forms.quantity_fields import ThicknessField
from yard.forms.versioned import VersionedForm


class RowForm(VersionedForm):
    name = forms.CharField(label="Name")
    thickness_in = ThicknessField(label="Thickness")


def test_both_values_are_shown_and_saving_again_is_possible(db):
    row = make_yard()
    row.version = 5
    form = RowForm(QueryDict("version=4&name=typed&thickness_in=8/4"))
    assert form.is_valid()
    form.show_changed_meanwhile(row, {"name": "saved", "thickness_in": 2.0}, "Somebody was quicker.")
    template = engines["django"].from_string("{% form_errors form %}{{ form.version }}{% field form.name %}")
    page = template.render({"form": form})
    assert "Somebody was quicker." in page
    assert "<td>saved</td><td>typed</td>" in page
    assert "Thickness" not in page, "equal values are no difference"
    assert 'value="5"' in page
    assert 'name="name" value="typed"' in page
