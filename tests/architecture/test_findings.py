"""Every finding code in the source has a section with cause and mend in docs/findings, and no page lies."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
CODE = re.compile(r"BW-[A-Z]+-\d{3}")


def in_source() -> set[str]:
    files = [*(ROOT / "pipeline").rglob("*.py"), *(ROOT / "plugins").rglob("*.py")]
    return {c for p in files for c in CODE.findall(p.read_text())}


def sections() -> dict[str, str]:
    found: dict[str, str] = {}
    for page in sorted((ROOT / "docs" / "findings").glob("*.md")):
        for part in re.split(r"^## ", page.read_text(), flags=re.MULTILINE)[1:]:
            code = part.split()[0].rstrip(":")
            assert code not in found, f"{code} has two sections"
            found[code] = part
    return found


def test_every_code_is_explained() -> None:
    assert sorted(in_source() - set(sections())) == []


def test_every_explained_code_exists() -> None:
    assert sorted(set(sections()) - in_source()) == []


def test_every_section_says_cause_and_mend() -> None:
    thin = [c for c, text in sections().items() if "**Cause**" not in text or "**Mend**" not in text]
    assert thin == []
