"""The published vectors of "amendlog/1", byte for byte."""

import json

from farmrecords.history import canon, verifier

LOG = "6f1e2f0a-3c57-4c1e-9d1b-0a6a6f0f5b11"
LOAD = "0b0c7f52-8a1d-4f2e-8a43-2f3a5f2d9c01"
BODIES = [
    '{"alg":"SHA-256","canon":"RFC8785","nonce":"a3d1c7e0b94f5a6688c2d4e1f0907b35",'
    '"operation":"Example Operation One","spec":"amendlog/1"}',
    '{"changes":[{"from":null,"path":"/field","to":"Peña Norte 7"},'
    '{"from":null,"path":"/gallons","to":"6500"},'
    '{"from":null,"path":"/loaded_at","to":"2026-04-14T13:02:00-05:00"}],'
    '"reason_code":"entry","reason_text":""}',
    '{"changes":[{"from":"6500","path":"/gallons","to":"5850"}],'
    '"reason_code":"measured_later","reason_text":"Tank was 90 % full – foam"}',
]
BODY_HASHES = [
    "ddc86532a674114af811cd89a5b788969e396a3e997910fec416b9c319636f38",
    "09902ff4a49ba3696205139ca72214e0433ab90dcf3f6b2ba5949f8e94867a4f",
    "120ff02e27ff5dfae9c84e1a7e3ec133b5f67446c62b6d4c8b52155aaad8f19d",
]
ENTRY_HASHES = [
    "cabd615171c75a40d79151075d44d08541a7950bc46ddb6ecd900049463ba52a",
    "5a8aaba1f48109c0629f6685f7c2818e0f189e865e350fcf644b3a19b864c569",
    "ee423d7c3f2e78723a4927cf08f3e218183f7a6db4f6697a66f05c21e3d60766",
]
MERKLE_ROOT = "2a9991762a6d9cdc20031b7adcb8c72905d54bbaeb61452e6e9fae0d1bc1317a"
SALTS = [bytes([0x00] * 16), bytes([0x11] * 16), bytes([0x22] * 16)]


def header(seq, **said):
    before = ["0" * 64, *ENTRY_HASHES]
    return {"v": 1, "log": LOG, "seq": seq, "prev": before[seq], "body": BODY_HASHES[seq]} | said


HEADERS = [
    header(
        0, act="genesis", actor="u:00000000-0000-4000-8000-000000000000",
        at="2026-04-01T00:00:00.000000Z", chan="system", claimed_at=None, client_op=None,
        obj={"id": LOG, "rev": 0, "type": "log"}, role="system",
    ),
    header(
        1, act="create", actor="u:00000000-0000-4000-8000-000000000001",
        at="2026-04-14T18:09:12.250000Z", chan="sync", claimed_at="2026-04-14T18:02:31.000000Z",
        client_op="5d1a3b44-0000-4000-8000-000000000001",
        obj={"id": LOAD, "rev": 1, "type": "load"}, role="hauler",
    ),
    header(
        2, act="amend", actor="u:00000000-0000-4000-8000-000000000002",
        at="2026-04-15T12:00:00.000000Z", chan="web", claimed_at=None, client_op=None,
        obj={"id": LOAD, "rev": 2, "type": "load"}, role="office",
    ),
]  # fmt: skip


def lines():
    """The three vectors as an export."""
    return [
        canon.canonical({"body": canon.parse(b), "hash": e, "header": h, "salt": s.hex()}) + b"\n"
        for b, e, h, s in zip(BODIES, ENTRY_HASHES, HEADERS, SALTS, strict=True)
    ]


def test_the_canonical_text_of_each_body_is_the_published_one():
    for text in BODIES:
        assert canon.canonical(json.loads(text)).decode() == text


def test_body_hashes():
    for text, salt, expected in zip(BODIES, SALTS, BODY_HASHES, strict=True):
        assert canon.body_hash(salt, canon.parse(text)) == expected


def test_entry_hashes():
    for one, expected in zip(HEADERS, ENTRY_HASHES, strict=True):
        assert canon.entry_hash(one) == expected


def test_merkle_root_of_the_three_leaves():
    assert canon.merkle_root(ENTRY_HASHES) == MERKLE_ROOT


def test_the_empty_tree_is_the_hash_of_nothing():
    # RFC 6962 section 2.1: the hash of an empty list is the hash of an empty string.
    empty = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
    assert canon.merkle_root([]) == empty


def test_the_stand_alone_verifier_accepts_the_vectors():
    result = verifier.check(lambda: map(verifier.entry_of_line, lines()), [(2, ENTRY_HASHES[2])])
    assert (result.code, result.problems, result.hash) == (0, [], ENTRY_HASHES[2])
