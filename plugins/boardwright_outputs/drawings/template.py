"""The empty DXF document every file starts from: header, layers, line types, one model space.

``python -m boardwright_outputs.drawings.template`` makes ``template.dxf.txt`` anew with ezdxf. The file is
kept in the package because a new ezdxf document costs half a second of imports and then about 15 ms a file,
several hundred times a pack; a text with nine blanks costs nothing, and does not change with the library's
version. Tests make it again, read it back with ezdxf and compare its layers with ``layers.LOOKS``.

Blanks (``@NAME@``): LEFT BOTTOM RIGHT TOP (extent), MIDDLE_X MIDDLE_Y VIEW_HEIGHT (what a program shows
first), NEXT_HANDLE, and ENTITIES, where the drawing goes.
"""

from __future__ import annotations

import io
from functools import cache
from importlib.resources import files

from .drawing import Role
from .layers import DASH_MM_PER_PIXEL, LOOKS, MACHINED, layer

#: Handle of the model space's block record: the owner of every entity.
MODEL_SPACE = "17"
#: Entities are numbered from here; the document itself stays far below.
FIRST_HANDLE = 0x1000
_FILE = "template.dxf.txt"


@cache
def template() -> str:
    """The kept text, with its blanks."""
    return files(__package__).joinpath(_FILE).read_text("utf-8")


def make() -> str:
    """Make the text with ezdxf. Raises ValueError when ezdxf no longer lays a document out as expected."""
    from ezdxf._options import options  # the object ezdxf.options, under a name the type checker sees
    from ezdxf.filemanagement import new

    was = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        doc = new("R2010", units=4, setup=False)
        doc.header["$MEASUREMENT"] = 1
        doc.header["$DIMSTYLE"] = "Standard"
        doc.header["$LWDISPLAY"] = 1
        doc.header["$LATITUDE"] = doc.header["$LONGITUDE"] = 0.0
        for role in Role:
            _add_layer(doc, role)
        if doc.modelspace().layout_key != MODEL_SPACE:
            raise ValueError(f"the model space is {doc.modelspace().layout_key}, not {MODEL_SPACE}")
        stream = io.StringIO()
        doc.write(stream)
    finally:
        options.write_fixed_meta_data_for_testing = was
    return _with_blanks(stream.getvalue())


def _add_layer(doc: object, role: Role) -> None:
    from ezdxf.document import Drawing as Document

    assert isinstance(doc, Document)
    look = LOOKS[role]
    line_type = "Continuous"
    if look.dash and role not in MACHINED:
        line_type = layer(role) + "_LINE"
        lengths = [float(n) * DASH_MM_PER_PIXEL for n in look.dash.split()]
        signed = [n if i % 2 == 0 else -n for i, n in enumerate(lengths)]
        doc.linetypes.add(line_type, [sum(lengths), *signed], description=look.says)
    doc.layers.add(layer(role), color=look.colour_number, lineweight=look.weight, linetype=line_type)


def _with_blanks(text: str) -> str:
    for after, code, name in (
        ("$EXTMIN", 10, "LEFT"),
        ("$EXTMIN", 20, "BOTTOM"),
        ("$EXTMAX", 10, "RIGHT"),
        ("$EXTMAX", 20, "TOP"),
        ("$HANDSEED", 5, "NEXT_HANDLE"),
        ("*Active", 12, "MIDDLE_X"),
        ("*Active", 22, "MIDDLE_Y"),
        ("*Active", 40, "VIEW_HEIGHT"),
    ):
        start = text.index(f"\n{code:>3}\n", text.index(f"\n{after}\n")) + 5
        text = text[:start] + f"@{name}@" + text[text.index("\n", start) :]
    entities = text.index("\nENTITIES\n") + len("\nENTITIES\n")
    return text[:entities] + "@ENTITIES@" + text[entities:]


if __name__ == "__main__":
    from pathlib import Path

    Path(__file__).with_name(_FILE).write_text(make(), "utf-8", newline="\n")
