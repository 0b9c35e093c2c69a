"""Damage done to good files: bytes, numbers, pieces, encodings and members of archives."""

import io
import random
import re
import zipfile

SPICES = [
    b"NaN", b"1e309", b"-", b"0x10", b'"', b"'", b"<", b">", b"&a;", b"\0", b"\xff\xfe",
    b"\xef\xbb\xbf", b"\xed\xa0\x80", b"\r", b"\n", b",,,,", b";", b"{", b"[", b"]", b"}", b"null",
    b"99999999999",
    b"2025-02-30", b"24:00", b"=1+1", "٤٥".encode(), b"<!DOCTYPE x>", b"PK\x03\x04", b" " * 5_000,
]  # fmt: skip


NUMBERS = [
    b"0",
    b"-1",
    b"95",
    b"181",
    b"-89.5",
    b"43",
    b"1e9",
    b"2147483648",
    b"1990",
    b"24",
    b"60",
]


def damaged(data: bytes, chance: random.Random) -> bytes:
    """A copy of a file, damaged in one of several ways; the same chance gives the same copy."""
    changed = data
    while changed == data:
        way = chance.choices(WAYS, WEIGHTS)[0]
        changed = way(data, chance)
    return changed


def member_changed(data: bytes, chance: random.Random) -> bytes:
    """An archive packed again with one member damaged, so that no check sum stands before it."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            members = {name: archive.read(name) for name in archive.namelist()}
    except zipfile.BadZipFile:
        return roughly(data, chance)
    name = chance.choice(sorted(members))
    way = chance.choice([roughly, numbers_changed, roughly])
    match chance.randrange(8):
        case 0:
            del members[name]
        case 1:
            members["../" + name] = members[name]
        case _:
            members[name] = way(members[name], chance)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for kept, content in members.items():
            archive.writestr(kept, content)
    return out.getvalue()


def encoded_anew(data: bytes, chance: random.Random) -> bytes:
    """The text in another encoding, with other line ends, or with rows torn and doubled."""
    text = data.decode("utf-8", "replace")
    rows = text.split("\n")
    match chance.randrange(6):
        case 0:
            return text.encode("utf-16")
        case 1:
            return b"\xef\xbb\xbf" + data
        case 2:
            return text.replace("\n", chance.choice(["\r", "\r\n", "\n\r", "\x0b"])).encode()
        case 3:
            chance.shuffle(rows)
        case 4:
            rows *= chance.choice([2, 50])
        case _:
            rows = [row + chance.choice(["", ",", ";;", '"', ",9" * 300]) for row in rows]
    return "\n".join(rows).encode("utf-8", "surrogatepass")


def random_bytes(data: bytes, chance: random.Random) -> bytes:
    """Bytes of chance, sometimes behind the beginning of the good file."""
    return data[: chance.choice([0, 4, 40])] + chance.randbytes(chance.randint(0, 3_000))


def numbers_changed(data: bytes, chance: random.Random) -> bytes:
    """The file with one to five of its numbers replaced, so that its structure still stands."""
    found = list(re.finditer(rb"[0-9]+(?:[.][0-9]+)?", data[:200_000]))
    for number in sorted(chance.sample(found, min(len(found), chance.randint(1, 5))), key=ends)[
        ::-1
    ]:
        data = data[: number.start()] + chance.choice(NUMBERS) + data[number.end() :]
    return data


def ends(found: re.Match[bytes]) -> int:
    return found.end()


def roughly(data: bytes, chance: random.Random) -> bytes:
    """The file with one to eight bytes, pieces or lengths changed."""
    changed = bytearray(data)
    for _ in range(chance.randint(1, 8)):
        at = chance.randrange(len(changed) + 1)
        match chance.randrange(6):
            case 0 if changed:
                changed[min(at, len(changed) - 1)] = chance.randrange(256)
            case 1:
                changed[at:at] = chance.choice(SPICES)
            case 2:
                del changed[at : at + chance.randint(1, 40)]
            case 3:
                changed[at:at] = changed[at : at + chance.randint(1, 200)] * chance.randint(1, 5)
            case 4:
                changed = changed[:at] if chance.random() < 0.2 else changed
            case _:
                end = at + chance.randint(1, 8)
                changed[at:end] = chance.randbytes(len(changed[at:end]))
    return bytes(changed)


WAYS = (roughly, numbers_changed, member_changed, encoded_anew, random_bytes)
WEIGHTS = (35, 30, 15, 13, 7)
