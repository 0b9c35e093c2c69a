"""The history of one operation as a file that `verifier.py` checks without this program."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from farmrecords.history import canon
from farmrecords.history.models import HEADER_COLUMNS, Entry, Log, header_of

CHUNK = 2000


def rows(log: Log, last_seq: int | None = None) -> Iterator[tuple[dict[str, Any], str, Any, Any]]:
    """Header, hash, salt and body text of every entry, oldest first."""
    entries = Entry.objects.filter(log=log).order_by("seq")
    if last_seq is not None:
        entries = entries.filter(seq__lte=last_seq)
    columns = (*HEADER_COLUMNS, "hash", "body__salt", "body__text")
    for row in entries.values_list(*columns).iterator(chunk_size=CHUNK):
        yield header_of(*row[:-3]), row[-3], row[-2], row[-1]


def lines(log: Log, last_seq: int | None = None) -> Iterator[bytes]:
    """One canonical JSON line per entry: header, hash, salt, body (both null when redacted)."""
    for header, hash_, salt, text in rows(log, last_seq):
        head = canon.canonical(header).decode()
        body = "null" if text is None else text
        said = "null" if salt is None else f'"{salt}"'
        yield f'{{"body":{body},"hash":"{hash_}","header":{head},"salt":{said}}}\n'.encode()


def verifier_source() -> bytes:
    """The stand-alone verifier, to be handed over with every export."""
    return (Path(__file__).parent / "verifier.py").read_bytes()
