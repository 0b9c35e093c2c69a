"""Canonical JSON (RFC 8785) and the hashes of "amendlog/1".

Headers and bodies of the log use a subset: ASCII names, and no floats; quantities are strings.
Values inside JSON columns may hold floats and any names; `json_text` writes those.
"""

import hashlib
import json
import re
import unicodedata
from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

SPEC = "amendlog/1"
GENESIS_PREV = "0" * 64
LARGEST_INTEGER = 2**53 - 1

_CONTROL = re.compile(r'["\\\x00-\x1f]')
_SURROGATE = re.compile("[\ud800-\udfff]")
_SHORT = {"\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f", "\r": "\\r", '"': '\\"', "\\": "\\\\"}


class NotCanonical(ValueError):
    """A value that the canonical form cannot hold."""


def canonical(value: Any) -> bytes:
    """The canonical UTF-8 bytes of a header or body.

    Names must be ASCII; numbers whole and below 2^53 in size; floats are refused.

    >>> canonical({"b": 1, "a": ["x", None, True]})
    b'{"a":["x",null,true],"b":1}'
    """
    return _written(value, strict=True).encode()


def json_text(value: Any) -> str:
    """The canonical text of any JSON value, floats in ECMAScript's form, any names.

    >>> json_text({"b": 1.0, "a": [0.1, 1e21]})
    '{"a":[0.1,1e+21],"b":1}'
    """
    return _written(value, strict=False)


def json_value(text: str) -> Any:
    """The value of JSON text; numbers too large to be exact are floats, as in ECMAScript."""
    return json.loads(text, parse_int=_exact)


def _exact(text: str) -> int | float:
    return int(text) if abs(int(text)) < 2**53 else float(text)


def _written(value: Any, strict: bool) -> str:
    if value is None:
        return "null"
    if value is True:
        return "true"
    if value is False:
        return "false"
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, int):
        return _integer(value) if strict or abs(value) < 2**53 else float_text(float(value))
    if isinstance(value, dict):
        names = sorted(value, key=_utf16) if not strict else sorted(_ascii_names(value))
        return "{" + ",".join(f"{_quoted(n)}:{_written(value[n], strict)}" for n in names) + "}"
    if isinstance(value, list | tuple):
        return "[" + ",".join([_written(item, strict) for item in value]) + "]"
    if isinstance(value, float) and not strict:
        return float_text(value)
    raise NotCanonical(
        f"{value!r} ({type(value).__name__}) cannot stand in the log; give text, a whole number, "
        "true, false, nothing, a list or names with values. Quantities are written as text."
    )


def _ascii_names(value: dict[Any, Any]) -> dict[str, Any]:
    for name in value:
        if not (isinstance(name, str) and name.isascii()):
            raise NotCanonical(f"The name {name!r} is not plain ASCII text; names in the log are.")
    return value


def _utf16(name: Any) -> bytes:
    if not isinstance(name, str):
        raise NotCanonical(f"The name {name!r} is not text.")
    if _SURROGATE.search(name):
        raise NotCanonical(f"The name {name!r} holds half a character; it cannot be written.")
    return name.encode("utf-16-be")


def _integer(value: int) -> str:
    if abs(value) > LARGEST_INTEGER:
        raise NotCanonical(f"{value} is too large for a JSON number (2^53 and more); give text.")
    return str(int(value))


def _quoted(text: str) -> str:
    if not text.isascii() and _SURROGATE.search(text):
        raise NotCanonical(f"The text {text!r} holds half a character; it cannot be written.")
    if _CONTROL.search(text):
        text = _CONTROL.sub(lambda hit: _SHORT.get(hit[0], f"\\u{ord(hit[0]):04x}"), text)
    return f'"{text}"'


def float_text(value: float) -> str:
    """A float as ECMAScript writes it (RFC 8785 section 3.2.2.3)."""
    if value != value or value in (float("inf"), float("-inf")):
        raise NotCanonical(f"{value!r} is not a number that JSON can hold.")
    if value == 0:
        return "0"
    sign = "-" if value < 0 else ""
    mantissa, _, exponent = repr(abs(value)).partition("e")
    whole, _, part = mantissa.partition(".")
    digits = (whole + part).lstrip("0")
    point = len(whole) + int(exponent or 0) - (len(whole + part) - len(digits))
    return sign + _placed(digits.rstrip("0"), point)


def _placed(digits: str, point: int) -> str:
    """`digits` with the decimal point after the first `point` of them."""
    if len(digits) <= point <= 21:
        return digits + "0" * (point - len(digits))
    if 0 < point <= 21:
        return f"{digits[:point]}.{digits[point:]}"
    if -6 < point <= 0:
        return "0." + "0" * -point + digits
    power = f"e{point - 1:+d}"
    return (digits if len(digits) == 1 else f"{digits[0]}.{digits[1:]}") + power


def parse(text: str | bytes) -> Any:
    """The value of canonical JSON text; refuses a name given twice and numbers with a point."""
    return json.loads(
        text, object_pairs_hook=_once, parse_float=_no_float, parse_constant=_no_float
    )


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    value = dict(pairs)
    if len(value) != len(pairs):
        raise NotCanonical("A name stands twice in one JSON object.")
    return value


def _no_float(text: str) -> Any:
    raise NotCanonical(f"The number {text} is not whole; quantities are written as text.")


def nfc(value: Any) -> Any:
    """Text in the composed form (NFC), also inside lists and names with values."""
    if isinstance(value, str):
        return unicodedata.normalize("NFC", value)
    if isinstance(value, list | tuple):
        return [nfc(item) for item in value]
    if isinstance(value, dict):
        return {nfc(name): nfc(item) for name, item in value.items()}
    return value


def moment_text(moment: datetime) -> str:
    """A moment as the log writes it: UTC, always six digits of a second, Z.

    >>> from datetime import datetime, UTC
    >>> moment_text(datetime(2026, 4, 14, 18, 9, 12, 250000, tzinfo=UTC))
    '2026-04-14T18:09:12.250000Z'
    """
    if moment.tzinfo is None:
        raise NotCanonical(f"The moment {moment.isoformat()} has no time zone; give one.")
    if moment.tzinfo is not UTC:
        moment = moment.astimezone(UTC)
    return moment.isoformat(timespec="microseconds")[:-6] + "Z"


def moment_of(text: str) -> datetime:
    """The moment a log text stands for."""
    return datetime.fromisoformat(text)


def body_hash(salt: bytes, body: Any) -> str:
    """SHA-256 of 0x02, the salt and the canonical body (a value, or its canonical bytes)."""
    text = body if isinstance(body, bytes) else canonical(body)
    return hashlib.sha256(b"\x02" + salt + text).hexdigest()


def entry_hash(header: dict[str, Any]) -> str:
    """SHA-256 of 0x00 and the canonical header: also a leaf of the hash tree."""
    return hashlib.sha256(b"\x00" + canonical(header)).hexdigest()


def merkle_root(leaves: Sequence[str]) -> str:
    """The root of the hash tree (RFC 6962 section 2.1) over entry hashes, oldest first."""
    if not leaves:
        return hashlib.sha256(b"").hexdigest()
    return _root([bytes.fromhex(leaf) for leaf in leaves]).hex()


def _root(leaves: list[bytes]) -> bytes:
    if len(leaves) == 1:
        return leaves[0]
    split = 1 << ((len(leaves) - 1).bit_length() - 1)
    pair = _root(leaves[:split]) + _root(leaves[split:])
    return hashlib.sha256(b"\x01" + pair).digest()
