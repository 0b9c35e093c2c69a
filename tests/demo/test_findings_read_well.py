"""What the checks say of the demonstration's year reads like a sentence, in both languages."""

from __future__ import annotations

import json
import re
import subprocess
import sys

import pytest

from fixtures.demo import DAY
from tests.demo_site import ROOT, _env, demo_site  # noqa: F401

FARMS = ("marlow-brook", "twin-cedar", "saltgrass")
LONGEST = 520
NOT_WORDS = re.compile(r"[{}_]|\(s\)|None|UNKNOWN|Decimal|True|False|\b[a-z]+\.[a-z]+_[a-z]+|  ")


@pytest.fixture(scope="module")
def rows(demo_site):  # noqa: F811
    run = subprocess.run(
        [sys.executable, "-m", "tests.demo.said"],
        cwd=ROOT, env=_env(demo_site.data) | {"FARMRECORDS_DAY": f"{DAY}"},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
    return json.loads(run.stdout)


@pytest.mark.parametrize("slug", FARMS)
def test_each_farms_year_has_findings_of_each_outcome(rows, slug):
    assert {row[1] for row in rows if row[0] == slug} == {"met", "not_met", "cannot_tell", "notice"}


def test_each_sentence_is_one_a_farmer_can_read(rows):
    odd = [
        (rule, text)
        for _slug, _outcome, rule, *texts in rows
        for text in texts
        if NOT_WORDS.search(text)
        or not text.endswith(".")
        or not (text[0].isupper() or text[0].isdigit())
        or len(text) > LONGEST
    ]
    assert odd == []


def test_what_is_not_met_or_cannot_be_told_is_never_said_to_be_met(rows):
    for _slug, outcome, rule, sentence, _spanish in rows:
        if outcome in ("not_met", "cannot_tell"):
            assert not sentence.endswith((": met.", ": recorded.")), rule


def test_the_spanish_is_spanish(rows):
    same = {rule for _slug, _outcome, rule, sentence, spanish in rows if sentence == spanish}
    assert same == set()
