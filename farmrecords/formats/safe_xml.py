"""XML read without document types, entities or outside access, within bounds."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any
from xml.etree.ElementTree import Element, ParseError

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import iterparse

from farmrecords.formats.common import FormatError, refuse_large, shown

MAX_XML_DEPTH = 60
# Bounds on time and memory, checked before parsing: a file of MAX_FILE_BYTES with ordinary
# track points stays below both.
MOST_TAGS = 1_500_000
MOST_TREE_TAGS = 600_000
MOST_EQUAL_SIGNS = 800_000


def xml_events(data: bytes) -> Iterator[tuple[str, str, Element]]:
    """(“start” or “end”, local tag name, element) in order; namespaces are dropped.

    The caller clears what it has read. Raises `FormatError` for anything that is not plain XML.
    """
    refuse_large(data)
    if data.count(b"<") > MOST_TAGS or data.count(b"=") > MOST_EQUAL_SIGNS:
        raise FormatError("The file has too many parts.", "Split it, for example by day.")
    depth = 0
    events: Any = iterparse(io.BytesIO(data), events=("start", "end"), forbid_dtd=True)
    try:
        for event, element in events:
            depth += 1 if event == "start" else -1
            if depth > MAX_XML_DEPTH:
                raise FormatError(
                    f"The file nests more than {MAX_XML_DEPTH} levels deep.", "Export it again."
                )
            yield event, local_name(element), element
    except DefusedXmlException:
        raise FormatError(
            "The file carries a document type or entities, which are never followed.",
            "Export it again without them.",
        ) from None
    except ParseError as error:
        line, character = error.position
        raise FormatError(
            f"Line {line}, character {character + 1}: this is not whole XML.",
            "It may have been cut off on the way; export or copy it again.",
        ) from None
    except (LookupError, ValueError) as error:
        if isinstance(error, FormatError):
            raise
        raise FormatError(
            f"The XML cannot be decoded ({shown(error)}).", "Save it as UTF-8."
        ) from None


def xml_tree(data: bytes) -> Element:
    """The root element of a whole document; for files that are small by nature."""
    if data.count(b"<") > MOST_TREE_TAGS:
        raise FormatError("The file has too many parts.", "Export less at a time.")
    root: Element | None = None
    for _, _, element in xml_events(data):
        root = element if root is None else root
    assert root is not None  # a document without an element is a parse error
    return root


def local_name(element: Element) -> str:
    """The tag of an element without its namespace."""
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""
