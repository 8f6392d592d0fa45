"""``batch.json`` and ``study.json``: everything found, as data, the same bytes for the same answer."""

from __future__ import annotations

from typing import Any

import msgspec


def written(value: Any) -> bytes:
    """UTF-8, keys sorted, ends with a line feed."""
    return msgspec.json.format(msgspec.json.encode(value, order="deterministic"), indent=1) + b"\n"
