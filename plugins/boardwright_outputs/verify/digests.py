"""Files against the pack's list of digests (``SHA256SUMS``, the form that ``sha256sum -c`` reads)."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping

from boardwright import Notes, Place

from .opened import AGAIN

LIST = "SHA256SUMS"
_LINE = re.compile(r"([0-9a-f]{64})  (\S.*)")


def check_digests(files: Mapping[str, bytes], notes: Notes) -> Iterator[str]:
    listed = read_list(files.get(LIST), notes)
    if listed is None:
        return
    good = 0
    for path, digest in sorted(listed.items()):
        if path not in files:
            notes.fault("BW-VERIFY-006", f"the file {path} of the pack is missing", Place(file=path), AGAIN)
        elif hashlib.sha256(files[path]).hexdigest() != digest:
            notes.fault(
                "BW-VERIFY-007",
                f"the file {path} is not as it was delivered: its digest is another",
                Place(file=path),
                "If you changed it yourself, know that the rest of the pack does not follow it. " + AGAIN,
            )
        else:
            good += 1
    for path in sorted(files.keys() - listed.keys() - {LIST}):
        says = f"the file {path} was not delivered with the pack"
        if path.startswith("dxf/"):
            notes.fault(
                "BW-VERIFY-008",
                f"{says}, and lies among its drawings, where it could be cut",
                Place(file=path),
                "Move it out of the folder dxf.",
            )
        else:
            notes.note("BW-VERIFY-009", says, Place(file=path), "Nothing, if it is yours.")
    yield f"{good} files are as they were delivered (SHA-256)."


def read_list(data: bytes | None, notes: Notes) -> dict[str, str] | None:
    place = Place(file=LIST)
    if data is None:
        notes.fault("BW-VERIFY-005", f"the list of digests, {LIST}, is missing", place, AGAIN)
        return None
    found = [_LINE.fullmatch(line) for line in data.decode("utf-8", "replace").splitlines()]
    listed = {m[2]: m[1] for m in found if m}
    if not listed or len(listed) != len(found):
        notes.fault("BW-VERIFY-005", f"the list of digests, {LIST}, is damaged", place, AGAIN)
        return None
    return listed
