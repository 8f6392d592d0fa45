"""A source file as the reader gets it: its name and its bytes. The reader opens no files itself."""

from __future__ import annotations

import msgspec


class SourceFile(msgspec.Struct, frozen=True):
    name: str
    data: bytes
