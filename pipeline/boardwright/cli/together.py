"""Files of several plugins put together: two that write one path are refused."""

from __future__ import annotations

from collections.abc import Iterable, Mapping


def joined_files(answers: Iterable[Mapping[str, bytes]]) -> dict[str, bytes]:
    """Path -> bytes. Raises PluginError."""
    from ..errors import PluginError

    files: dict[str, bytes] = {}
    for answer in answers:
        for path, data in answer.items():
            if path in files:
                raise PluginError.of(
                    "BW-NEST-014", f"two plugins write {path}", mend="Leave one of them out."
                )
            files[path] = data
    return files
