"""What the forms of the intake say of an entry they cannot take: what was given, what to do."""

from __future__ import annotations

from django.core.files.uploadedfile import SimpleUploadedFile

from farmrecords.formats.common import Choice, Question
from farmrecords.intake.forms import AnswerForm, ReasonForm, UploadForm
from farmrecords.intake.kinds import kinds


def _said(name: str, data: bytes, kind: str = "") -> dict[str, list[str]]:
    sent = {"kind": kind or kinds()[0].name}
    return dict(UploadForm(sent, {"file": SimpleUploadedFile(name, data)}).errors)


def test_a_file_that_is_not_chosen_is_asked_for_by_its_label() -> None:
    said = UploadForm({"kind": kinds()[0].name}, {}).errors["file"]
    assert said == ["“File” is not chosen. Choose a file of this device."]


def test_an_empty_file_is_named() -> None:
    assert _said("loads.csv", b"") == {
        "file": ["“loads.csv” has nothing in it. Choose the file again."]
    }


def test_a_name_of_200_characters_fits_and_one_more_does_not() -> None:
    assert _said("a" * 196 + ".csv", b"x") == {}
    assert _said("a" * 197 + ".csv", b"x")["file"] == [
        "The name of the file has 201 characters and 200 fit. Give it a shorter name."
    ]


def test_a_kind_that_is_not_known_is_named() -> None:
    said = _said("loads.csv", b"x", kind="poem")["kind"]
    assert said == ["“poem” is not on the list. Choose one that is."]


def test_a_question_without_answer_is_named() -> None:
    choices = (Choice("a", "first"), Choice("b", "second"))
    form = AnswerForm([Question("unit", "Which unit", choices, (), "")], {})
    assert form.errors == {"question_0": ["“Which unit” is not chosen. Choose one of the list."]}


def test_an_undoing_without_reason_is_asked_for_one() -> None:
    said = ReasonForm({}).errors["reason"]
    assert said == ["“Why it is undone” is empty. Fill it in."]
