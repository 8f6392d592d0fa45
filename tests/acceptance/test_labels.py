"""No text of a delivered drawing lies on another, read from the DXF files by nothing but ezdxf and shapely.

A letter is taken as 0.7 of the text height wide, the lower end of plain stroke fonts (common practice, no
source); text stands from its base line to its height.
"""

from __future__ import annotations

import math

from ezdxf.entities import Text
from ezdxf.enums import TextEntityAlignment
from packs import Pack
from shapely import Polygon, STRtree, affinity, box

LETTER = 0.7
START = {"LEFT": 0.0, "CENTER": 0.5, "RIGHT": 1.0}


def covered(text: Text) -> Polygon:
    """The upright or turned rectangle a text covers."""
    align, at, _ = text.get_placement()
    assert align in (TextEntityAlignment.LEFT, TextEntityAlignment.CENTER, TextEntityAlignment.RIGHT)
    width = LETTER * text.dxf.height * len(text.dxf.text)
    left = at.x - START[align.name] * width
    flat = box(left, at.y, left + width, at.y + text.dxf.height)
    return affinity.rotate(flat, text.dxf.rotation, origin=(at.x, at.y))


def test_no_text_lies_on_another(pack: Pack) -> None:
    files = [p for f in ("boards", "sheets", "parts") for p in pack.dxf_files(f)]
    counted = 0
    for path in [*files, pack.folder / "dxf" / "general-arrangement.dxf"]:
        texts = list(pack.dxf(str(path.relative_to(pack.folder))).modelspace().query("TEXT"))
        boxes = [covered(t) for t in texts]
        tree = STRtree(boxes)
        for one, two in tree.query(boxes, predicate="intersects").T:
            if one < two:
                shared = boxes[one].intersection(boxes[two]).area
                assert math.isclose(shared, 0.0, abs_tol=1e-3), (
                    f"{path.name}: {texts[one].dxf.text!r} lies on {texts[two].dxf.text!r}"
                )
        counted += len(texts)
    assert counted > 100
