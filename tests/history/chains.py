"""Histories made without a database, for the tests of the verifier."""

import random
from datetime import UTC, datetime, timedelta
from uuid import UUID

from farmrecords.history import canon

BEGAN = datetime(2026, 4, 1, tzinfo=UTC)


class Chain:
    """A history in memory: `lines` is its export, `hashes` the hash of each entry."""

    def __init__(self, seed=0):
        self.draw = random.Random(seed)
        self.log = self.uuid()
        self.lines, self.hashes = [], []
        self.at = BEGAN
        body = {"alg": "SHA-256", "canon": "RFC8785", "nonce": self.draw.randbytes(16).hex()}
        body |= {"operation": "Example", "spec": "amendlog/1"}
        self.add("genesis", ("log", self.log, 0), body)

    def uuid(self):
        return str(UUID(bytes=self.draw.randbytes(16), version=4))

    def add(self, act, about, body, **header):
        """One entry; `about` is (type, id, rev), `header` overrides what it says."""
        kind, id_, rev = about
        salt = self.draw.randbytes(16)
        said = {
            "v": 1, "log": self.log, "seq": len(self.lines), "act": act, "role": "office",
            "prev": self.hashes[-1] if self.hashes else "0" * 64, "chan": "web",
            "at": canon.moment_text(self.at), "claimed_at": None, "client_op": None,
            "actor": f"u:{self.log}", "obj": {"type": kind, "id": id_, "rev": rev},
            "body": canon.body_hash(salt, body),
        } | header  # fmt: skip
        self.at += timedelta(seconds=self.draw.randrange(100))
        self.hashes.append(canon.entry_hash(said))
        line = {"body": body, "hash": self.hashes[-1], "header": said, "salt": salt.hex()}
        self.lines.append(canon.canonical(line) + b"\n")

    def change(self, act, obj, path, before, after):
        changes = [{"from": before, "path": path, "to": after}]
        said = {"changes": changes, "reason_code": "entry", "reason_text": "né – \n"}
        self.add(act, obj, said)

    def redact(self, seq):
        """Destroy the text of an entry and add the entry that says so."""
        line = canon.parse(self.lines[seq])
        body = {"redacted_body": line["header"]["body"], "redacted_seq": str(seq)}
        self.lines[seq] = canon.canonical(line | {"body": None, "salt": None}) + b"\n"
        self.add("redact", ("log", self.log, 0), body)


def season(loads=5, seed=0):
    """A history of some loads, each created, amended, and some voided."""
    chain = Chain(seed)
    for number in range(loads):
        load = chain.uuid()
        chain.change("create", ("load", load, 1), "/gallons", None, "6500")
        chain.change("amend", ("load", load, 2), "/gallons", "6500", "5850")
        if number % 2:
            chain.change("void", ("load", load, 3), "/voided", None, "true")
        chain.add("review", ("load", load, 3 if number % 2 else 2), {"found": "well kept"})
    return chain
