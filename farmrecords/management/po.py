"""Message catalogues (.po files): read, held against each other, written the same way each time."""

from __future__ import annotations

import ast
from dataclasses import dataclass, field
from pathlib import Path

WRITTEN_ON = "2026-01-01 00:00+0000"  # one fixed moment, so that equal words make equal files


@dataclass
class Message:
    """One message: its key, its plural key, and what it says."""

    msgid: str
    plural: str = ""
    context: str = ""
    texts: list[str] = field(default_factory=list)
    flags: set[str] = field(default_factory=set)
    obsolete: bool = False
    sources: list[str] = field(default_factory=list)

    @property
    def is_translated(self) -> bool:
        """Whether every form says something."""
        return bool(self.texts) and all(self.texts)


def read_po(path: Path) -> list[Message]:
    """The messages of a .po file in their order, the header first (its key is empty)."""
    found: list[Message] = []
    for block in path.read_text(encoding="utf-8").split("\n\n"):
        message = _message(block)
        if message is not None:
            found.append(message)
    return found


def _message(block: str) -> Message | None:
    message, into, seen = Message(""), "", False
    for line in block.splitlines():
        if line.startswith("#,"):
            message.flags |= {flag.strip() for flag in line[2:].split(",")}
        elif line.startswith("#:"):
            message.sources += line[2:].split()
        if line.startswith("#~"):
            message.obsolete = True
            line = line[2:].lstrip().removeprefix("| ")
        if line.startswith("#") or not line.strip():
            continue
        keyword, space, rest = line.partition(" ")
        if keyword.startswith("msg") and space:
            seen = seen or keyword == "msgid"
            into, text = keyword, rest
            if keyword.startswith("msgstr"):
                message.texts.append("")
        else:
            text = line
        _add(message, into, ast.literal_eval(text))
    return message if seen else None


def _add(message: Message, into: str, text: str) -> None:
    if into == "msgid":
        message.msgid += text
    elif into == "msgid_plural":
        message.plural += text
    elif into == "msgctxt":
        message.context += text
    else:
        message.texts[-1] += text


def quoted(text: str) -> str:
    """A text as a .po file writes it.

    >>> quoted('so "called"')
    '"so \\\\"called\\\\""'
    """
    escaped = (
        text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\t", "\\t")
    )
    return f'"{escaped}"'


def write_po(path: Path, comment: str, language: str, texts: dict[str, str]) -> None:
    """A catalogue of messages without plurals, in the order given."""
    header = (
        f"Project-Id-Version: farmrecords\nPOT-Creation-Date: {WRITTEN_ON}\n"
        f"PO-Revision-Date: {WRITTEN_ON}\nLanguage: {language}\nMIME-Version: 1.0\n"
        "Content-Type: text/plain; charset=UTF-8\nContent-Transfer-Encoding: 8bit\n"
        "Plural-Forms: nplurals=2; plural=(n != 1);\n"
    )
    head = "".join(f"# {line}\n" for line in comment.splitlines())
    lines = "".join(f"{quoted(line)}\n" for line in header.splitlines(keepends=True))
    blocks = [f'{head}msgid ""\nmsgstr ""\n{lines}']
    blocks += [f"msgid {quoted(key)}\nmsgstr {quoted(text)}\n" for key, text in texts.items()]
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("\n".join(blocks), encoding="utf-8")
