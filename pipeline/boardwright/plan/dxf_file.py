"""Opens the bytes of a DXF drawing, repairing what can be repaired."""

from __future__ import annotations

import io
import logging

from ezdxf import recover
from ezdxf.document import Drawing
from ezdxf.filemanagement import dxf_stream_info, read
from ezdxf.lldxf.tagger import binary_tags_loader

from ..errors import BoardwrightError, InputError
from ..findings import Notes, Place
from . import dxf_binary
from .source import SourceFile

_ESCAPED = (b"\\U+", b"\\M+")
"""Letters outside a drawing's code page are written so; only the mending way in turns them back."""
_HEAD_BYTES = 1_000_000  # more than any header section


def load(source: SourceFile, notes: Notes) -> Drawing:
    """Open a drawing, repairing it where needed. Raises InputError when it is none."""
    where = Place(file=source.name)
    if not source.data.strip():
        raise InputError.of("BW-READ-003", "the drawing file is empty", where, "Save the plan again as DXF.")
    if b"SECTION" not in source.data:
        raise _not_a_drawing(source.name, "it has no sections")
    data, whole = source.data, True
    if data.startswith(dxf_binary.SIGN):
        data, whole = _binary(source.data)
    else:
        if b"\n" not in data:  # lines that end as on an old Macintosh
            data = data.replace(b"\r", b"\n")
        whole = data.rstrip(b"\r\n\t \0\x1a").endswith(b"EOF")
    try:
        doc, says = _opened(data)
    except Exception as problem:  # strangers' bytes break the library in ways it does not list; all mean this
        if not whole:
            raise InputError.of(
                "BW-READ-001",
                "the drawing file stops before its end, and what is there cannot be opened",
                where,
                "The save or the copy broke off: save or copy the drawing again.",
            ) from problem
        raise _not_a_drawing(source.name, _short(problem)) from problem
    if not whole:
        notes.caution(
            "BW-READ-034",
            "the drawing file stops before its end: part of the plan may be missing",
            where,
            "Save or copy the drawing again, and look the plan over.",
        )
    if says:
        notes.mended(
            "BW-READ-002",
            f"the drawing file was damaged and has been repaired in {len(says)} ways, the first: {says[0]}",
            where,
            "Look the plan over, and save it again from your drawing program.",
        )
    return doc


def _binary(data: bytes) -> tuple[bytes, bool]:
    """A file that is whole as it is, one that was cut short as text; and which of the two it is."""
    if data.rstrip(b"\0").endswith(b"EOF"):
        return data, True
    return dxf_binary.as_text(data)


def _not_a_drawing(file: str, why: str) -> BoardwrightError:
    return InputError.of(
        "BW-READ-001",
        f"this is not a DXF drawing that can be read ({why})",
        Place(file=file),
        "Save the plan as DXF (any release from R12 on) and name that file.",
    )


def _opened(data: bytes) -> tuple[Drawing, list[str]]:
    """The drawing, and what was repaired in it: what the audit changed and what the library only logs."""
    log = _Log(logging.WARNING)
    logging.getLogger("ezdxf").addHandler(log)
    try:
        doc = _as_it_is(data)
        if doc is None:
            text = dxf_binary.as_text(data)[0] if data.startswith(dxf_binary.SIGN) else data
            doc, audit = recover.read(io.BytesIO(text))
        else:
            audit = doc.audit()
    finally:
        logging.getLogger("ezdxf").removeHandler(log)
    says = {str(e.message) for e in (*audit.errors, *audit.fixes)} | log.said
    return doc, sorted(" ".join(text.split())[:120] for text in says)


def _as_it_is(data: bytes) -> Drawing | None:
    """A sound drawing is opened in half the time that mending one takes; None when it is not sound."""
    if any(sign in data for sign in _ESCAPED):
        return None
    try:
        if data.startswith(dxf_binary.SIGN):
            doc = Drawing.load(binary_tags_loader(data))
        else:
            head = io.StringIO(data[:_HEAD_BYTES].decode("latin-1"))
            encoding = dxf_stream_info(head).encoding
            doc = read(io.TextIOWrapper(io.BytesIO(data), encoding, "surrogateescape"))
    except Exception:  # strangers' bytes break the library in ways it does not list: mending is tried next
        return None
    if b"$INSUNITS" not in data:  # the library fills in metres where a drawing says nothing
        doc.header["$INSUNITS"] = 0
    return doc


class _Log(logging.Handler):
    """Keeps what a library would else print on the terminal."""

    def __init__(self, level: int) -> None:
        super().__init__(level)
        self.said: set[str] = set()

    def emit(self, record: logging.LogRecord) -> None:
        self.said.add(record.getMessage())


logging.getLogger("ezdxf").addHandler(logging.NullHandler())  # while entities are read, too


def _short(problem: Exception) -> str:
    text = " ".join(str(problem).split())[:80]
    return f"{type(problem).__name__}: {text}" if text else type(problem).__name__
