"""Bytes of a text file -> text, saying which encoding was taken and what is doubtful."""

from __future__ import annotations

import codecs

from farmrecords.formats.common import FormatError, refuse_large

_SAVE_AGAIN = "Open it in the program it came from and save it again as “CSV UTF-8” or plain text."


def decode_text(data: bytes) -> tuple[str, str, list[str]]:
    """The text of a file, the name of its encoding, and notes for the person who loads it.

    Tried in order: byte order mark (UTF-8, UTF-16), UTF-8, Windows-1252. NUL characters and
    UTF-32 are refused: they come from a binary file with the wrong name.
    """
    refuse_large(data)
    if data[:4] == b"PK\x03\x04":
        raise FormatError("This is a ZIP file or a workbook, not a text file.", _SAVE_AGAIN)
    text, encoding, notes = _decoded(data)
    if (at := text.find("\0")) >= 0:
        line = text.count("\n", 0, at) + 1
        raise FormatError(
            f"Line {line} holds a zero character; this is not a text file.", _SAVE_AGAIN
        )
    return text, encoding, notes


def _decoded(data: bytes) -> tuple[str, str, list[str]]:
    if data.startswith((codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)):
        raise FormatError("The file is in UTF-32, which is not read.", _SAVE_AGAIN)
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return _strict(data, "utf-16"), "utf-16", []
    try:
        return data.decode("utf-8-sig"), "utf-8", []
    except UnicodeDecodeError as error:
        if data.startswith(codecs.BOM_UTF8):
            raise _undecodable("utf-8", error) from None
    note = "The file is not UTF-8; it was read as Windows-1252. Check names with accents."
    return _strict(data, "cp1252"), "cp1252", [note]


def _strict(data: bytes, encoding: str) -> str:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        raise _undecodable(encoding, error) from None


def _undecodable(encoding: str, error: UnicodeDecodeError) -> FormatError:
    byte = error.object[error.start]
    return FormatError(
        f"Byte {error.start} (0x{byte:02x}) is no character in {encoding}; "
        "this is not a text file, or it was damaged on the way.",
        _SAVE_AGAIN,
    )
