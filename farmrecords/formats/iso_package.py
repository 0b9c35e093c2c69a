"""The files of a TASKDATA folder: zipped or not, names in any case, external parts put in."""

from __future__ import annotations

from dataclasses import dataclass
from xml.etree.ElementTree import Element

from farmrecords.formats.archives import Archive, is_zip
from farmrecords.formats.common import FormatError, shown
from farmrecords.formats.safe_xml import xml_tree

_MAIN = "taskdata.xml"
_WHOLE = "Choose the whole TASKDATA folder as a ZIP file."


@dataclass(frozen=True)
class Package:
    """The task data with its external parts in place, and the other members by base name."""

    root: Element
    archive: Archive | None
    paths: dict[str, str]
    notes: tuple[str, ...]

    def member(self, name: str) -> bytes | None:
        """The bytes of a member by its base name in any case; None when it is not there."""
        path = self.paths.get(name.lower())
        return None if path is None or self.archive is None else self.archive.read(path)


def open_package(data: bytes) -> Package:
    """The package in a ZIP file, or a bare TASKDATA.XML without its logs."""
    if not is_zip(data):
        return Package(_checked_root(xml_tree(data)), None, {}, ())
    archive = Archive(data)
    mains = [name for name in archive.names if name.rpartition("/")[2] == _MAIN]
    if not mains:
        raise FormatError("The archive holds no TASKDATA.XML.", _WHOLE)
    main = min(mains, key=lambda name: name.count("/"))
    folder = main.removesuffix(_MAIN)
    paths = {
        name.rpartition("/")[2]: name
        for name in archive.names
        if name.startswith(folder) and "/" not in name.removeprefix(folder)
    }
    notes = []
    if len(mains) > 1:
        notes.append(f"The archive holds several TASKDATA folders; “{shown(main)}” was read.")
    root = _checked_root(xml_tree(archive.read(main)))
    package = Package(root, archive, paths, ())
    notes.extend(_put_in_external_parts(package))
    return Package(root, archive, paths, tuple(notes))


def _checked_root(root: Element) -> Element:
    if root.tag != "ISO11783_TaskData":
        raise FormatError(f"The file begins with {shown(root.tag)}, not ISO11783_TaskData.", _WHOLE)
    return root


def _put_in_external_parts(package: Package) -> list[str]:
    """Hang the children of each referenced file into the root; parts may not refer further."""
    notes = []
    for reference in package.root.findall("XFR"):
        name = f"{reference.get('A') or ''}.xml"
        content = package.member(name)
        if content is None:
            notes.append(f"The part {shown(name)} is missing; what it holds is not known.")
            continue
        part = xml_tree(content)
        if part.tag != "XFC":
            raise FormatError(f"The part {shown(name)} does not begin with XFC.", _WHOLE)
        package.root.extend(list(part))
    return notes
