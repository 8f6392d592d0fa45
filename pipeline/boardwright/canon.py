"""Canonical bytes: one value, one sequence of bytes, one digest.

Everything that is stored or compared goes through here. Encoding is JSON with sorted keys and shortest
round-trip numbers; ``settle`` reads the bytes back by type, so that a value fresh from a stage and the same
value from the store are indistinguishable (1 and 1.0, list and tuple).
"""

from __future__ import annotations

import hashlib
from typing import Any

import msgspec


def _plain(value: Any) -> Any:
    """Array libraries hand out their own kinds of float and int; they are stored as plain ones."""
    if isinstance(value, float):
        return float(value)
    if isinstance(value, int):
        return int(value)
    raise TypeError(f"a {type(value).__name__} cannot be stored: stages exchange nouns, numbers and texts")


_encoder = msgspec.json.Encoder(order="deterministic", enc_hook=_plain)


def encode(value: Any) -> bytes:
    return _encoder.encode(value)


def decode(data: bytes, kind: Any) -> Any:
    return msgspec.json.decode(data, type=kind)


def settle(value: Any, kind: Any) -> tuple[Any, bytes]:
    """Return (value, bytes) such that decoding the bytes gives the value and encoding it the bytes."""
    if kind in (str, bytes) and type(value) is kind:
        return value, encode(value)
    settled = decode(encode(value), kind)
    return settled, encode(settled)


def digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
