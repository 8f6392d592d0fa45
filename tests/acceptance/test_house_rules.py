"""The files of docs/house-rules.md, followed by a member's module: values, findings, and what runs again."""

from __future__ import annotations

import json
import re
from pathlib import Path

from running import here
from shelf import project

from boardwright.disk import on_disk

PAGE = (Path(__file__).parents[2] / "docs" / "house-rules.md").read_text()


def test_a_member_follows_the_clubs_rules(tmp_path: Path) -> None:
    member = project(tmp_path / "member", 1000).parent
    rules, follow = re.findall(r"```toml\n(.+?)```", PAGE, flags=re.DOTALL)
    plain = (member / "layout.toml").read_text()
    assert here("pack", cwd=member).returncode == 0
    before = on_disk(member / "pack")

    (tmp_path / "club-rules.toml").write_text(rules)
    (member / "layout.toml").write_text(plain + follow)
    done = here("pack", cwd=member)
    assert done.returncode == 0, done.stderr
    data = json.loads((member / "pack" / "pack.json").read_text())
    assert data["settings"]["joists"]["spacing_mm"] == 300
    assert [(r["setting"], r["kept"]) for r in data["rules"]] == [
        ("[framing] member_thickness_mm", True),
        ("[joists] spacing_mm", True),
        ("[stock] sheets.material", True),
    ]
    assert all(b["frame"]["joist_spacing_mm"] <= 300 for b in data["boards"])
    assert "../club-rules.toml" in [s["file"] for s in data["sources"]]
    page = (member / "pack" / "index.html").read_text()
    assert "House rules" in page
    assert "the exhibition committee" in page
    assert "Nothing changed" in here("pack", cwd=member).stdout

    (tmp_path / "club-rules.toml").write_text(rules.replace("is = 300", "is = 250"))
    assert here("pack", cwd=member).returncode == 0
    told = here("why", "joists@B01", "--last", cwd=member).stdout
    assert "spacing_mm" in told, told

    (member / "layout.toml").write_text(plain + follow + "\n[framing]\nmember_thickness_mm = 15\n")
    broken = here("pack", cwd=member)
    assert broken.returncode == 1
    assert "BW-RULE-001" in broken.stderr
    assert "Harbour Wood Model Club, 2026" in broken.stderr

    (member / "layout.toml").write_text(plain)
    assert " 0 computed" in here("pack", cwd=member).stdout
    assert on_disk(member / "pack") == before
