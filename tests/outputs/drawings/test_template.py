"""The kept empty document is what ezdxf makes of the looks."""

from __future__ import annotations

import io
from pathlib import Path

import ezdxf

from boardwright_outputs.drawings.drawing import Role
from boardwright_outputs.drawings.layers import LOOKS, MACHINED, css_class, layer
from boardwright_outputs.drawings.template import FIRST_HANDLE, MODEL_SPACE, make, template


def test_the_kept_document_is_up_to_date() -> None:
    """Line by line but in any order: ezdxf lists its object classes in the order of a set."""
    assert sorted(make().splitlines()) == sorted(template().splitlines())


def test_layers_are_the_roles() -> None:
    text = template().replace("@ENTITIES@", "").replace("@NEXT_HANDLE@", "FFFF")
    for blank in ("LEFT", "BOTTOM", "RIGHT", "TOP", "MIDDLE_X", "MIDDLE_Y", "VIEW_HEIGHT"):
        text = text.replace(f"@{blank}@", "1.0")
    assert "@" not in text.replace("0.0 @ 2000-01-01", "")
    doc = ezdxf.read(io.StringIO(text))
    ours = {la.dxf.name: la for la in doc.layers if la.dxf.name not in ("0", "Defpoints")}
    assert set(ours) == {layer(role) for role in Role}
    for role, look in LOOKS.items():
        assert ours[layer(role)].dxf.color == look.colour_number
        assert ours[layer(role)].dxf.lineweight == look.weight
        dashed = ours[layer(role)].dxf.linetype != "Continuous"
        assert dashed == bool(look.dash and role not in MACHINED)
    assert doc.modelspace().layout_key == MODEL_SPACE
    assert max(int(h, 16) for h in doc.entitydb) < FIRST_HANDLE


def test_looks_differ_without_colour() -> None:
    """Machine roles are told apart in black and white: no two share weight and dashes."""
    looks = [
        (LOOKS[r].pixels, LOOKS[r].dash) for r in (Role.THROUGH_CUT, Role.HOLE, Role.POCKET, Role.BACK_HOLE)
    ]
    assert len(set(looks)) == len(looks)
    assert len({css_class(r) for r in Role}) == len(Role)
    assert set(LOOKS) == set(Role)


def test_the_documents_name_every_layer() -> None:
    told = (Path(__file__).parents[3] / "docs" / "drawings.md").read_text("utf-8")
    for role in Role:
        assert f"| `{layer(role)}` |" in told
