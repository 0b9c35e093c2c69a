"""The stand-alone verifier: what it finds, and where it says it is."""

import json
import os
import random
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farmrecords.history import verifier
from tests.history.chains import Chain, season

# One flipped bit is found in all of 10,000 random flips.
FULL = 10_000
RUNS = FULL if os.environ.get("FARMRECORDS_FULL") else FULL // 20
SEASON = season()
SOURCE = Path(verifier.__file__)


def check(lines, anchors=()):
    return verifier.check(lambda: map(verifier.entry_of_line, lines), anchors)


def flipped(lines, bit):
    """The lines with one bit of their bytes turned, and the number of the line it stood in."""
    data = bytearray(b"".join(lines))
    data[bit // 8] ^= 1 << bit % 8
    ends = [sum(map(len, lines[: number + 1])) for number in range(len(lines))]
    seq = next(number for number, end in enumerate(ends) if bit // 8 < end)
    return _lines(bytes(data)), seq


def _lines(data):
    """Cut at line ends alone, as a file is read."""
    parts = data.split(b"\n")
    return [part + b"\n" for part in parts[:-1]] + ([parts[-1]] if parts[-1] else [])


def test_a_history_as_it_was_written_verifies():
    result = check(SEASON.lines, [(3, SEASON.hashes[3])])
    assert (result.code, result.problems) == (0, [])
    assert (result.count, result.hash) == (len(SEASON.lines), SEASON.hashes[-1])


def test_every_prefix_verifies():
    for length in range(1, len(SEASON.lines) + 1):
        assert check(SEASON.lines[:length]).code == 0


def test_a_counted_run_of_flipped_bits_is_found_each_time_at_the_right_entry():
    seed = random.SystemRandom().randrange(2**32)
    print(f"seed {seed}, {RUNS} flips")  # noqa: T201
    draw = random.Random(seed)
    size = 8 * sum(map(len, SEASON.lines))
    for _run in range(RUNS):
        bit = draw.randrange(size)
        lines, seq = flipped(SEASON.lines, bit)
        result = check(lines)
        assert result.code == 1, f"bit {bit}"
        assert result.problems[0][0] == seq, f"bit {bit}: {result.problems[0]}"


@given(st.data())
@settings(max_examples=100)
def test_a_flipped_bit_in_any_prefix_is_found(data):
    lines = SEASON.lines[: data.draw(st.integers(2, len(SEASON.lines)))]
    bit = data.draw(st.integers(0, 8 * sum(map(len, lines)) - 1))
    changed, seq = flipped(lines, bit)
    assert check(changed).problems[0][0] == seq


@given(st.integers(1, len(SEASON.lines) - 1))
def test_a_cut_tail_is_found_against_an_anchor_beyond_it(dropped):
    last = len(SEASON.lines) - 1
    result = check(SEASON.lines[:-dropped], [(last, SEASON.hashes[last])])
    assert result.code == 2
    assert result.anchors[0][0] == last


def test_a_history_written_anew_is_found_against_an_old_anchor():
    result = check(season(seed=1).lines, [(4, SEASON.hashes[4])])
    assert (result.code, result.anchors[0][:2]) == (2, (4, "anchor"))


@pytest.mark.parametrize("seq", [1, 5, len(SEASON.lines) - 2])
def test_an_entry_taken_out_is_found(seq):
    lines = SEASON.lines[:seq] + SEASON.lines[seq + 1 :]
    assert check(lines).problems[0][:2] == (seq, "number")


@pytest.mark.parametrize("seq", [1, 5])
def test_two_entries_exchanged_are_found(seq):
    lines = list(SEASON.lines)
    lines[seq], lines[seq + 1] = lines[seq + 1], lines[seq]
    assert check(lines).problems[0][:2] == (seq, "number")


def test_a_history_without_its_first_entry_is_no_history():
    assert check(SEASON.lines[1:]).problems[0][0] == 0


def wrong(build):
    """The kinds of problem at the last entry of a history that `build` completed."""
    chain = season(1)
    build(chain, chain.uuid())
    result = check(chain.lines)
    assert {one[0] for one in result.problems} == {len(chain.lines) - 1}
    return [one[1] for one in result.problems]


def test_a_moment_that_goes_back_is_found():
    assert wrong(
        lambda chain, load: chain.add(
            "create", ("load", load, 1), {"changes": []}, at="2026-03-31T23:59:59.999999Z"
        )
    ) == ["moment goes back"]


def test_a_moment_in_another_form_is_found():
    assert "form of a moment" in wrong(
        lambda chain, load: chain.add(
            "create", ("load", load, 1), {"changes": []}, at="2026-04-02T00:00:00Z"
        )
    )


def test_a_skipped_revision_is_found():
    assert wrong(
        lambda chain, load: chain.change("create", ("load", load, 2), "/a", None, "1")
    ) == ["revision"]


def test_a_field_too_many_in_the_header_is_found():
    assert wrong(
        lambda chain, load: chain.add("create", ("load", load, 1), {"changes": []}, extra="x")
    ) == ["header"]


def test_an_earlier_value_that_never_stood_there_is_found():
    def build(chain, load):
        chain.change("create", ("load", load, 1), "/gallons", None, "6500")
        chain.change("amend", ("load", load, 2), "/gallons", "6400", "5850")

    assert wrong(build) == ["earlier value of /gallons"]


def test_an_entry_about_no_object_is_reported_not_raised():
    assert wrong(lambda chain, load: chain.add("x", ("load", load, 1), {}, obj=None)) == [
        "unreadable"
    ]


def test_redacted_text_is_listed_and_must_be_announced():
    chain = season()
    chain.redact(4)
    result = check(chain.lines)
    assert (result.code, result.redacted) == (0, [4])
    silent = check(chain.lines[:-1])
    assert silent.problems[0][:2] == (4, "text missing")


def test_an_event_with_an_empty_body_verifies():
    chain = Chain()
    chain.add("checkpoint", ("log", chain.log, 0), {})
    assert check(chain.lines).code == 0


def run(*arguments):
    """The verifier as a script, isolated from everything but the standard library."""
    done = subprocess.run(
        [sys.executable, "-I", "-S", str(SOURCE), *map(str, arguments)],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    return done.returncode, done.stdout, done.stderr


@pytest.fixture
def export(tmp_path):
    path = tmp_path / "history.jsonl"
    path.write_bytes(b"".join(SEASON.lines))
    return path


def test_the_script_says_that_nothing_wrong_was_found(export):
    code, out, _err = run(export, "--anchor", f"2:{SEASON.hashes[2]}")
    assert (code, "Nothing wrong found." in out) == (0, True)


def test_the_script_answers_as_json(export):
    code, out, _err = run(export, "--json")
    found = json.loads(out)
    assert (code, found["exit"], found["hash"]) == (0, 0, SEASON.hashes[-1])


def test_the_script_exits_1_on_a_changed_history_and_names_the_entry(export):
    export.write_bytes(export.read_bytes().replace(b'"to":"5850"', b'"to":"5840"', 1))
    code, out, _err = run(export)
    assert (code, "Entry 2: body hash." in out) == (1, True)


def test_the_script_exits_2_on_a_wrong_anchor(export):
    assert run(export, "--anchor", f"2:{SEASON.hashes[3]}")[0] == 2


def test_an_anchor_may_be_typed_in_groups_as_printed(export):
    groups = " ".join(SEASON.hashes[2][at : at + 4] for at in range(0, 64, 4))
    assert run(export, "--anchor", f"2:{groups}")[0] == 0


@pytest.mark.parametrize("content", [b"", b"Dear inspector,\nhere is our history.\n", b"\xff\x00"])
def test_the_script_exits_3_on_what_is_no_history(export, content):
    export.write_bytes(content)
    code, _out, err = run(export)
    assert (code, "Cannot read" in err) == (3, True)


def test_the_script_exits_3_on_a_file_that_is_not_there(tmp_path):
    assert run(tmp_path / "none.jsonl")[0] == 3


def test_the_verifier_is_one_short_file_of_the_standard_library():
    text = SOURCE.read_text()
    assert len(text.splitlines()) <= 300
    imported = {
        line.split()[1] for line in text.splitlines() if line.startswith(("import ", "from "))
    }
    assert {name.split(".")[0] for name in imported} <= set(sys.stdlib_module_names)
