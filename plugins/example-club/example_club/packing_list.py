"""Our output: the crates as a list for the van."""

from boardwright import Files, output

from .crates import Crates


@output()
def packing_list(crates: Crates) -> Files:
    """``club/crates.csv``: a crate a row, inner sizes in whole millimetres rounded up."""
    rows = ["crate,boards,length_mm,width_mm,height_mm,mass_kg"]
    for n, c in enumerate(crates.crates, 1):
        sizes = ",".join(f"{-int(-mm // 1)}" for mm in (c.length_mm, c.width_mm, c.height_mm))
        rows.append(f"{n},{' '.join(c.boards)},{sizes},{c.mass_kg:.1f}")
    return Files(files={"club/crates.csv": ("\n".join(rows) + "\n").encode()})
