"""Each mistake in a rule file is refused, with the place, what is wrong and what to do."""

from pathlib import Path

import pytest

from farmrecords.rules.errors import RuleFileError
from farmrecords.rules.rulebook import read_rulebook
from tests.rules.written import BROKEN

FILES = sorted(BROKEN.glob("*.toml"))
INDEX = """[jurisdiction]
title = "Nowhere"
layer = "state"
as_of = "never"

[[row]]
row = "all"
state = "not_encoded"
why = "this is a test"
"""


def folder_with(tmp_path: Path, name: str, text: str, index: str = INDEX) -> Path:
    """A folder of rules with one file."""
    place = tmp_path / "us-xx"
    place.mkdir()
    (place / name).write_text(text, encoding="utf-8")
    (place / "index.toml").write_text(index, encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_mistake_is_refused_with_its_words(path: Path, tmp_path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    first, _, _ = text.partition("\n")
    expected = first.removeprefix("# expects: ")
    root = folder_with(tmp_path, path.name, text)

    with pytest.raises(RuleFileError) as raised:
        read_rulebook(root)

    assert expected in str(raised.value)
    assert f"us-xx/{path.name}" in str(raised.value)


def test_a_jurisdiction_without_declared_coverage_is_refused(tmp_path: Path) -> None:
    root = folder_with(tmp_path, "a.toml", _good())
    (root / "us-xx" / "index.toml").unlink()

    with pytest.raises(RuleFileError, match="declare coverage"):
        read_rulebook(root)


def test_coverage_that_names_no_rule_of_the_book_is_refused(tmp_path: Path) -> None:
    index = INDEX.replace('state = "not_encoded"', 'state = "partly"\nrules = ["X-7"]')
    root = folder_with(tmp_path, "a.toml", _good(), index)

    with pytest.raises(RuleFileError, match="there is no rule X-7"):
        read_rulebook(root)


def test_coverage_that_is_not_encoded_says_why(tmp_path: Path) -> None:
    index = INDEX.replace('why = "this is a test"\n', "")
    root = folder_with(tmp_path, "a.toml", _good(), index)

    with pytest.raises(RuleFileError, match="row 1, why: nothing is given"):
        read_rulebook(root)


def test_a_folder_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RuleFileError, match="there is none; name a folder of rules"):
        read_rulebook(tmp_path / "nowhere")


def _good() -> str:
    """The broken file whose only mistake is a sentence, without that sentence."""
    text = (BROKEN / "empty_words.toml").read_text(encoding="utf-8")
    return text.partition("[rule.words]")[0]


def test_the_same_file_without_a_mistake_is_read(tmp_path: Path) -> None:
    rulebook = read_rulebook(folder_with(tmp_path, "a.toml", _good()))

    assert [rule.id for rule in rulebook.rules] == ["X-1"]
