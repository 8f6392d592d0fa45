"""What the cutting has to say about itself."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from boardwright import Notes, Place
from boardwright_timber.model import CutSheet

from .matching import SAME_THICKNESS_MM
from .router_settings import RouterSettings
from .settings import StockSettings, StockSheet
from .trims import Trim


def tell(
    kind: tuple[str, float],
    made: Sequence[CutSheet],
    bound: int,
    stocked: Sequence[StockSheet],
    failures: Sequence[str],
    notes: Notes,
) -> None:
    """How good the cutting is, what must be bought besides, and where the solver gave up."""
    called = f"{kind[0]} {kind[1]:g} mm"
    here = Place(item=called)
    number = sum(s.times for s in made)
    sheets = counted(number, all(s.bar for s in made))
    if number == bound:
        notes.note("BW-CUT-010", f"{called}: {sheets}, proven to be the fewest possible.", here)
    else:
        notes.note(
            "BW-CUT-011",
            f"{called}: {sheets}; fewer than {bound} is impossible, what lies between is open.",
            here,
        )
    for stock in stocked:
        used = sum(s.times for s in made if s.stock == stock.name)
        if stock.quantity and used > stock.quantity:
            notes.caution(
                "BW-CUT-003",
                f"{counted(used, stock.bar)} of {stock.name} are needed, {stock.quantity} are there.",
                Place(key="stock.sheets", item=stock.name),
                f"Get {used - stock.quantity} more, or add another kind of "
                f"{'bar' if stock.bar else 'sheet'} to stock.sheets.",
            )
    if failures:
        notes.note(
            "BW-CUT-012",
            f"{called}: the solver failed in {len(failures)} of its set-ups ({'; '.join(failures)}); "
            "the plan comes from the others.",
            here,
        )


def only_what_is_there(stock: StockSettings, notes: Notes) -> None:
    """Stock nothing can be bought of: often offcuts that were meant to be added to the usual sheets."""
    if stock.sheets and all(s.quantity for s in stock.sheets):
        notes.note(
            "BW-CUT-015",
            "All that [stock] lists is limited in number: stock.sheets stands in place of the usual sheets, "
            "so none of those is bought.",
            Place(key="stock.sheets"),
            "To add offcuts to the sheets you buy, name their file in stock.offcuts, or list the sheets you "
            "buy as well.",
        )


def routed_in_vain(
    kinds: Collection[tuple[str, float]], stock: StockSettings, router: RouterSettings, notes: Notes
) -> None:
    """Thicknesses for the router that no part is made of."""
    used = {t for s in stock.sheets if (s.material, s.real_mm) in kinds for t in (s.thickness_mm, s.real_mm)}
    idle = [t for t in router.thicknesses_mm if all(abs(t - u) > SAME_THICKNESS_MM for u in used)]
    if idle:
        notes.note(
            "BW-CUT-016",
            f"router.thicknesses_mm has {', '.join(f'{t:g}' for t in idle)}: no part is made of a sheet so "
            "thick, so the router cuts none.",
            Place(key="router.thicknesses_mm"),
            "Write the nominal thickness of the sheets it is to cut, or take it out.",
        )


def tell_shavings(kind: tuple[str, float], shaved: int, kerf_mm: float, notes: Notes) -> None:
    """Cuts that take off less than the blade is wide."""
    if shaved:
        cuts = "1 cut takes" if shaved == 1 else f"{shaved} cuts take"
        notes.note(
            "BW-CUT-007",
            f"{kind[0]} {kind[1]:g} mm: {cuts} off less than the blade's {kerf_mm:g} mm.",
            Place(item=f"{kind[0]} {kind[1]:g} mm"),
            "Clamp a scrap against that edge so that the blade cuts on both sides, or plane the edge down.",
        )


def tell_shared(kind: tuple[str, float], shared: int, notes: Notes) -> None:
    """Slanted ends cut two at a time."""
    cuts = "1 slanted cut makes" if shared == 1 else f"{shared} slanted cuts make"
    notes.note(
        "BW-CUT-009",
        f"{kind[0]} {kind[1]:g} mm: {cuts} the ends of two pieces at once, nose to tail.",
        Place(item=f"{kind[0]} {kind[1]:g} mm"),
        "Cut them in the order of the list, with the bar turned over where it says so.",
    )


def tell_blanks(kind: tuple[str, float], pairs: int, notes: Notes) -> None:
    """Curved parts that share blanks."""
    notes.note(
        "BW-CUT-017",
        f"{kind[0]} {kind[1]:g} mm: {2 * pairs} curved parts come two from one blank.",
        Place(key="cutting.share_blanks", item=f"{kind[0]} {kind[1]:g} mm"),
        'Part them with a jigsaw as the sheet\'s drawing shows; cutting.share_blanks = "never" gives each '
        "its own.",
    )


def tell_limits(kind: tuple[str, float], beyond: int, notes: Notes) -> None:
    """Cuts the saw does not reach, and pieces too small to hold."""
    if beyond:
        number = "1 cut is" if beyond == 1 else f"{beyond} cuts are"
        notes.caution(
            "BW-CUT-008",
            f"{kind[0]} {kind[1]:g} mm: {number} longer than the saw reaches, or leave a piece smaller than "
            "can be held; no plan without them was found.",
            Place(key="cutting.longest_rip_mm", item=f"{kind[0]} {kind[1]:g} mm"),
            "Have the long cuts made at the merchant's, or cut small pieces from a longer strip by hand.",
        )


def tell_trim(
    kind: tuple[str, float], less: Trim | None, used: int, trim_mm: float, bars: bool, notes: Notes
) -> None:
    """A trim a little narrower would do with fewer sheets."""
    if less:
        notes.note(
            "BW-CUT-018",
            f"{kind[0]} {kind[1]:g} mm: with a trim of {less.trim_mm:g} mm, not {trim_mm:g} mm, "
            f"{counted(less.sheets, bars)} would do in place of {used}.",
            Place(key="cutting.trim_mm", item=f"{kind[0]} {kind[1]:g} mm"),
            f"If so little makes the {'ends of your bars' if bars else 'edges of your sheets'} true, write "
            f"cutting.trim_mm = {less.trim_mm:g}; else nothing.",
        )


def counted(number: int, bars: bool) -> str:
    return f"{number} {'bar' if bars else 'sheet'}" + ("" if number == 1 else "s")
