"""What an installed distribution says of itself, read from the head of its metadata.

The standard library reads the whole as a mail, with the long description that follows: two thirds of the
time that versions took, also where nothing changed. Format: PyPA core metadata, fields "Name: value" up to
the first empty line. What is written in another way is left to the library.
"""

from __future__ import annotations

from importlib.metadata import distribution


def stated(name: str) -> tuple[str, tuple[str, ...]]:
    """Version and requirements of a distribution. Raises PackageNotFoundError where it is not installed."""
    found = distribution(name)
    head = (found.read_text("METADATA") or "").partition("\n\n")[0].splitlines()
    versions = [line.partition(":")[2].strip() for line in head if line.startswith("Version:")]
    if len(versions) != 1:
        return found.version, tuple(found.requires or ())
    return versions[0], tuple(
        line.partition(":")[2].strip() for line in head if line.startswith("Requires-Dist:")
    )
