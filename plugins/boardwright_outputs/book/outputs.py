"""The ``index.html`` output: every picture and list of the pack on one page that needs nothing else."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from boardwright import NO_MEMO, All, Files, FindingList, Memo, Provenance, output
from boardwright.display import IN_MM, DisplaySettings
from boardwright.plan.model import TrackPlan
from boardwright_timber.model import (
    Board,
    BoardFastening,
    BoardFixings,
    BoardHardware,
    BoardParts,
    BoardPlan,
    BoardStand,
    BoardSteps,
    BoardStrength,
    BoardWiring,
    Cost,
    CuttingPlan,
    Frame,
    Joists,
    Splitting,
    WireSchedule,
)
from boardwright_timber.model.checks import CheckReport

from ..drawings.stages import BoardPicture, GeneralPicture, SheetPictures
from ..drawings.views.general import without_list
from ..templates.settings import TemplateSettings
from ..templates.view import wanted
from ..workbook.devices import device_rows
from .content import BoardChapter, Book, SheetChapter
from .page import page
from .step_pictures import StepPictures


@output()
def index_page(
    plan: TrackPlan,
    splitting: Splitting,
    boards: All[Board],
    plans: All[BoardPlan],
    frames: All[Frame],
    joists: All[Joists],
    fixings: All[BoardFixings],
    wiring: All[BoardWiring],
    parts: All[BoardParts],
    cutting: CuttingPlan,
    general_picture: GeneralPicture,
    board_pictures: All[BoardPicture],
    sheet_pictures: SheetPictures,
    strengths: All[BoardStrength],
    hardware: All[BoardHardware],
    steps: All[BoardSteps],
    step_pictures: All[StepPictures],
    cost: Cost,
    wires: WireSchedule,
    checks: CheckReport,
    findings: FindingList,
    provenance: Provenance,
    templates: TemplateSettings,
    show: DisplaySettings = IN_MM,
    fastening: All[BoardFastening] = MappingProxyType({}),
    stands: All[BoardStand] = MappingProxyType({}),
    memo: Memo = NO_MEMO,
) -> Files:
    """The page a builder opens first: ``index.html``."""
    by_board: tuple[Mapping[str, object], ...] = (
        plans,
        frames,
        joists,
        fixings,
        wiring,
        parts,
        hardware,
        strengths,
        steps,
        step_pictures,
        board_pictures,
        fastening,
        stands,
    )
    book = Book(
        plan=plan,
        splitting=splitting,
        warning=sheet_pictures.warning,
        general=without_list(general_picture.drawing, splitting.boards, show),
        parted=general_picture.parted,
        boards=tuple(
            BoardChapter(
                board=board,
                own_devices=plans[id_].own_devices,
                frame=frames[id_],
                joists=joists[id_],
                fixings=fixings[id_],
                unreached=wiring[id_].unreached,
                parts=parts[id_],
                hardware=hardware[id_],
                strength=strengths.get(id_),
                steps=steps[id_],
                pictures=step_pictures[id_],
                views=board_pictures[id_].views,
                fastening=fastening[id_].lines if id_ in fastening else (),
                stand=stands.get(id_),
                on_paper=bool(wanted(parts[id_].cut, templates.print)),
                made_of=(board, *(of_board.get(id_) for of_board in by_board)),
            )
            for id_, board in boards.items()
        ),
        sheets=tuple(
            SheetChapter(sheet=sheet, drawing=sheet_pictures.drawings[sheet.id]) for sheet in cutting.sheets
        ),
        cutting=cutting,
        devices=tuple(device_rows(plan, boards, plans)),
        cost=cost,
        wires=wires,
        checks=checks,
        findings=findings,
        provenance=provenance,
    )
    return Files(files={"index.html": page(book, show, memo)})


OUTPUTS: list[Callable[..., Any]] = [index_page]
