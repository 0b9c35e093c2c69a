"""Checks the exported history of one operation; needs Python 3.9 or newer and nothing else.

    python3 verifier.py EXPORT.jsonl [--anchor SEQ:HASH ...] [--json]

An anchor is a number and a hash noted earlier, for instance from the foot of a printed report.
With one, this proves that the entries up to it are exactly those that stood there then, in that
order; without any, whoever runs the server could have written the whole history anew. It never
proves that a record is true, that everything was recorded, or that a claimed time is right.

Exit: 0 nothing wrong found, 1 the history was altered, 2 an anchor does not fit, 3 not readable.
"""

import argparse
import hashlib
import json
import re
import sys
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

SPEC = "amendlog/1"
FIELDS = set("v log seq prev at claimed_at actor role chan client_op act obj body".split())  # noqa: SIM905
MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z")
HEX32 = re.compile(r"[0-9a-f]{32}")
UUID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")
Key = tuple[str, bytes]
Anchors = Iterable[tuple[int, str]]
PROBLEM = ("seq", "kind", "expected", "actual")


class Unreadable(Exception):
    """The file is no export of a history, or is not there."""


class Entry(NamedTuple):
    """One entry as read; `text` is the canonical text of its body."""

    header: Any = None
    hash: Any = None
    salt: Any = None
    text: Any = None
    body: Any = None
    fault: str = ""


class Result:
    """What was found: `problems` and `anchors` hold (seq, kind, expected, actual)."""

    def __init__(self) -> None:
        self.log, self.count, self.seq, self.hash = "", 0, -1, ""
        self.problems, self.anchors = list[Any](), list[Any]()
        self.warnings, self.redacted = list[str](), list[int]()

    def wrong(self, seq: int, kind: str, expected: Any, actual: Any) -> None:
        self.problems.append((seq, kind, str(expected), str(actual)))

    @property
    def code(self) -> int:
        return 1 if self.problems else 2 if self.anchors else 0

    def as_json(self) -> dict[str, Any]:
        found = dict(vars(self), exit=self.code)
        for name in ("problems", "anchors"):
            found[name] = [dict(zip(PROBLEM, one)) for one in getattr(self, name)]  # noqa: B905
        return found

    def as_text(self) -> Iterator[str]:
        yield f"History {self.log}: {self.count} entries. Head {self.seq}:{self.hash}"
        yield f"Text redacted by law in {len(self.redacted)} entries. {self.redacted[:20] or ''}"
        for seq, kind, expected, actual in (self.problems + self.anchors)[:20]:
            yield f"Entry {seq}: {kind}. Expected {expected}, found {actual}."
        for warning in self.warnings:
            yield f"Note: {warning}"
        words = ("Nothing wrong found.", "The history was ALTERED.", "An anchor does NOT fit.")
        yield words[self.code]


def canonical(value: Any) -> str:
    """Canonical text (RFC 8785) of values with ASCII names, text and whole numbers."""
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def parse(text: str) -> Any:
    """The value of canonical text; anything else is refused, a name that stands twice as well."""
    value = json.loads(text, parse_int=_whole, parse_float=_whole, parse_constant=_whole)
    if canonical(value) != text or not (text.isascii() or _plain_names(value)):
        raise ValueError("not in canonical form")
    return value


def _plain_names(value: Any) -> bool:
    if isinstance(value, dict):
        return all(map(str.isascii, value)) and all(map(_plain_names, value.values()))
    return not isinstance(value, list) or all(map(_plain_names, value))


def _whole(text: str) -> int:
    if not text.lstrip("-").isdigit() or abs(int(text)) >= 2**53:
        raise ValueError(f"{text} is not a whole number below 2^53")
    return int(text)


def entry_of_line(raw: bytes) -> Entry:
    """One line of an export."""
    try:
        text, end, _rest = raw.decode().partition("\n")
        value = parse(text)
        if not end or set(value) != {"body", "hash", "header", "salt"}:
            raise ValueError("body, hash, header and salt expected")
        body = value["body"]
        said = None if body is None else canonical(body)
        return Entry(value["header"], value["hash"], value["salt"], said, body)
    except (ValueError, TypeError, RecursionError) as error:
        return Entry(fault=str(error) or "not readable")


def entries_of_file(path: str) -> Iterator[Entry]:
    """The entries of an export, one at a time."""
    try:
        with open(path, "rb") as lines:
            for raw in lines:
                yield entry_of_line(raw)
    except OSError as error:
        raise Unreadable(f"{path}: {error.strerror}") from error


class Checker:
    """Follows a history entry by entry, in the order of the specification."""

    def __init__(self, anchors: Anchors) -> None:
        self.result = Result()
        self.prev: Any = "0" * 64
        self.at = ""
        self.revs, self.changed = dict[Key, int](), set[Key]()
        self.told, self.hidden = dict[int, str](), dict[int, str]()
        self.anchors = list(anchors)
        self.seen = {seq: "no such entry" for seq, _hash in self.anchors}

    def take(self, entry: Entry) -> None:
        seq = self.result.seq + 1
        self.result.seq, self.result.count = seq, self.result.count + 1
        if entry.fault:
            self.result.wrong(seq, "unreadable", "one entry in canonical form", entry.fault)
            self.prev = None
            return
        try:
            self._header(seq, entry)
            self._body(seq, entry)
        except (KeyError, TypeError, ValueError, AttributeError) as error:
            self.result.wrong(seq, "unreadable", "an entry of " + SPEC, repr(error))
        self.prev = self.result.hash = entry.hash
        if seq in self.seen:
            self.seen[seq] = entry.hash

    def _header(self, seq: int, entry: Entry) -> None:
        header, wrong = entry.header, self.result.wrong
        if seq == 0:
            self._genesis(header, entry.text)
        if header["seq"] != seq:
            wrong(seq, "number", seq, header["seq"])
        if self.prev is not None and header["prev"] != self.prev:
            wrong(seq, "link to the entry before", self.prev, header["prev"])
        hashed = hashlib.sha256(b"\x00" + canonical(header).encode()).hexdigest()
        if hashed != entry.hash:
            wrong(seq, "entry hash", hashed, entry.hash)
        if set(header) != FIELDS or header["v"] != 1 or header["log"] != self.result.log:
            wrong(seq, "header", f"the fields of {SPEC}, log {self.result.log}", sorted(header))
        at, claimed = header["at"], header["claimed_at"]
        if not MOMENT.fullmatch(at) or not (claimed is None or MOMENT.fullmatch(claimed)):
            wrong(seq, "form of a moment", "YYYY-MM-DDTHH:MM:SS.ffffffZ", f"{at}, {claimed}")
        if at < self.at:
            wrong(seq, "moment goes back", f"{self.at} or later", at)
        self.at = at

    def _genesis(self, header: Any, text: Any) -> None:
        self.result.log = header["log"]
        obj = {"type": "log", "id": header["log"], "rev": 0}
        body = {} if text is None else parse(text)
        if header["act"] != "genesis" or header["obj"] != obj or not UUID.fullmatch(header["log"]):
            self.result.wrong(0, "genesis", "the first entry of a log", header["act"])
        said = (body.get("spec"), body.get("alg"), body.get("canon"))
        if said != (SPEC, "SHA-256", "RFC8785") or not HEX32.fullmatch(str(body.get("nonce"))):
            self.result.wrong(0, "genesis", f"{SPEC}, SHA-256, RFC8785 and a nonce", said)

    def _body(self, seq: int, entry: Entry) -> None:
        header, obj = entry.header, entry.header["obj"]
        key = key_of(obj)
        last = self.revs.get(key, 0)
        if entry.text is None and entry.salt is None:
            self.hidden[seq] = header["body"]
            self._revision(seq, key, obj["rev"], {last, last + 1})
            return
        if entry.text is None or entry.salt is None or not HEX32.fullmatch(entry.salt):
            self.result.wrong(seq, "salt", "32 hexadecimal digits beside the body", entry.salt)
            return
        data = b"\x02" + bytes.fromhex(entry.salt) + entry.text.encode()
        hashed = hashlib.sha256(data).hexdigest()
        if hashed != header["body"]:
            self.result.wrong(seq, "body hash", header["body"], hashed)
            return
        body = parse(entry.text) if entry.body is None else entry.body
        if header["act"] == "redact":
            self.told[int(body["redacted_seq"])] = body["redacted_body"]
        changes = body.get("changes")
        self._revision(seq, key, obj["rev"], {last} if changes is None else {last + 1})
        if changes is not None and obj["rev"] == 1:
            follow(self.result, seq, {}, changes)

    def _revision(self, seq: int, key: Key, rev: int, allowed: set[int]) -> None:
        if rev not in allowed:
            self.result.wrong(seq, "revision", " or ".join(map(str, sorted(allowed))), rev)
        if rev > 1 and rev != self.revs.get(key, 0):
            self.changed.add(key)
        self.revs[key] = rev

    def finish(self) -> None:
        result = self.result
        result.redacted = list(self.hidden)
        for seq in self.hidden:
            if self.told.get(seq) != self.hidden[seq]:
                result.wrong(seq, "text missing", "a redact entry that says so", "none")
        for seq in sorted(set(self.told) - set(self.hidden)):
            result.warnings.append(f"the text of entry {seq} was redacted and is here again.")
        wrong = [(seq, hash) for seq, hash in self.anchors if hash != self.seen[seq]]
        result.anchors = [(seq, "anchor", hash, self.seen[seq]) for seq, hash in wrong]


def key_of(obj: Any) -> Key:
    """A record, in few bytes: a history may hold a million of them."""
    return obj["type"], bytes.fromhex(obj["id"].replace("-", ""))


def follow(result: Result, seq: int, state: Any, changes: Any) -> None:
    """Apply the changes of one body; each must begin where the last one ended."""
    for one in changes:
        before = state.get(one["path"])
        if one["from"] != before:
            result.wrong(seq, f"earlier value of {one['path']}", before, one["from"])
        state[one["path"]] = one["to"]


def check(read: Any, anchors: Anchors = (), head: Any = None) -> Result:
    """Check the entries each `read()` yields; `head` is the (seq, hash) said to be the last."""
    checker = Checker(anchors)
    for entry in read():
        checker.take(entry)
    result = checker.result
    if not result.hash:
        raise Unreadable("this is no history: not one entry can be read")
    checker.finish()
    if checker.changed:
        _check_changes(result, read, checker.changed)
    if head is not None and head != (result.seq, result.hash):
        result.wrong(result.seq, "head", "{}:{}".format(*head), f"{result.seq}:{result.hash}")
    result.problems.sort(key=lambda one: one[0])
    return result


def _check_changes(result: Result, read: Any, changed: set[Key]) -> None:
    """A second reading, for the records that were amended: from = what stood there before."""
    states: dict[Any, Any] = {}
    bad = {one[0] for one in result.problems}
    for seq, entry in enumerate(read()):
        key = None if seq in bad else key_of(entry.header["obj"])
        if key in changed and entry.text is None:
            states[key] = None  # what a redacted text changed is no longer known
        elif key in changed and states.get(key, {}) is not None:
            try:
                changes = parse(entry.text).get("changes", ())
                follow(result, seq, states.setdefault(key, {}), changes)
            except (KeyError, TypeError, ValueError, AttributeError) as error:
                result.wrong(seq, "unreadable", "changes of " + SPEC, repr(error))


def anchor(text: str) -> tuple[int, str]:
    """An anchor from "SEQ:HASH"; spaces in the hash, as printed, do not matter."""
    seq, _, hash = "".join(text.lower().split()).partition(":")
    if not seq.isdigit() or not re.fullmatch("[0-9a-f]{64}", hash):
        raise argparse.ArgumentTypeError(f"{text!r}: a number, a colon and 64 hex digits expected")
    return int(seq), hash


def main(arguments: Any = None) -> int:
    reader = argparse.ArgumentParser(description="Check the exported history of an operation.")
    reader.add_argument("export")
    reader.add_argument("--anchor", type=anchor, action="append", default=[], metavar="SEQ:HASH")
    reader.add_argument("--json", action="store_true")
    given = reader.parse_args(arguments)
    try:
        result = check(lambda: entries_of_file(given.export), given.anchor)
    except Unreadable as error:
        print(f"Cannot read: {error}", file=sys.stderr)  # noqa: T201
        return 3
    print(canonical(result.as_json()) if given.json else "\n".join(result.as_text()))  # noqa: T201
    return result.code


if __name__ == "__main__":
    sys.exit(main())
