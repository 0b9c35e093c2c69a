"""Forms of the intake: choose a file, answer what it asks, confirm or undo."""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from farmrecords.formats.common import MAX_FILE_BYTES, Question
from farmrecords.intake.kinds import kinds
from farmrecords.people.plain_errors import PlainForm


def page_helper() -> FormHelper:
    """A helper for forms whose tag and buttons the page brings."""
    helper = FormHelper()
    helper.form_tag = False
    helper.disable_csrf = True
    return helper


class UploadForm(PlainForm):
    """Which kind of file, and the file itself."""

    kind = forms.ChoiceField(label=_("What is in the file"))
    file = forms.FileField(label=_("File"), max_length=200)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = page_helper()
        self.fields["kind"].choices = [  # type: ignore[attr-defined]
            (kind.name, capfirst(kind.title)) for kind in kinds()
        ]
        endings = sorted({ending for kind in kinds() for ending in kind.endings})
        self.fields["file"].widget.attrs["accept"] = ",".join(endings)

    def clean_file(self) -> Any:
        """Refuse a file above the limit before it is read."""
        file = self.cleaned_data["file"]
        if file.size > MAX_FILE_BYTES:
            raise forms.ValidationError(
                _("The file has %(size)d bytes; at most %(most)d are read. Split it by year.")
                % {"size": file.size, "most": MAX_FILE_BYTES}
            )
        return file


class AnswerForm(PlainForm):
    """One entry for each question a file asks."""

    def __init__(self, questions: list[Question], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = page_helper()
        self.questions = questions
        for at, question in enumerate(questions):
            self.fields[f"question_{at}"] = _entry(question)

    @property
    def answers(self) -> dict[str, str]:
        """The answers by the keys of their questions."""
        return {
            question.key: self.cleaned_data[f"question_{at}"].strip()
            for at, question in enumerate(self.questions)
        }


def _entry(question: Question) -> forms.Field:
    if not question.choices:
        help_text = _("for example %(examples)s") % {"examples": ", ".join(question.examples)}
        return forms.CharField(
            label=question.asked,
            max_length=60,
            help_text=help_text if question.examples else "",
        )
    ordered = sorted(question.choices, key=lambda choice: choice.value != question.suggested)
    choices = [(choice.value, choice.label) for choice in ordered]
    if len(choices) <= 6:
        return forms.ChoiceField(label=question.asked, choices=choices, widget=forms.RadioSelect)
    return forms.ChoiceField(label=question.asked, choices=[("", "—"), *choices])


class ReasonForm(PlainForm):
    """Why an import is undone."""

    reason = forms.CharField(label=_("Why it is undone"), max_length=250)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = page_helper()
