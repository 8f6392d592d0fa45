"""A bench: the real engine and a store of its own, for stages that you put on it.

    def test_only_what_changed_runs_again(bench):
        bench.put(split, boards, frame)            # marked functions, with everything that they need
        bench.plan = my_plan(length_mm=2400)
        assert bench.run().ran == [("split", ""), ("boards", ""), ("frame", "B01"), ("frame", "B02")]
        bench.set(FramingSettings(depth_mm=90))
        assert bench.run().ran == [("frame", "B01"), ("frame", "B02")]

``plug`` puts on whole plugins, ours and yours: then a board goes all the way from outline to parts.

What this does not do: read drawings or project files, or write a pack.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import msgspec

from ..catalogue import arrange
from ..engine import workers
from ..engine.codeprint import CodePrints
from ..engine.outcome import Outcome
from ..engine.run import Run
from ..engine.store import Store
from ..made import MadeList
from ..plan.model import TrackPlan
from ..settings import Section
from ..stages import Provenance, wire


class Bench:
    """``store`` None keeps results in memory. ``plan``, ``made``, ``versions`` may change between runs."""

    def __init__(self, store: Path | None = None) -> None:
        self.store = Store(store)
        self.plan = TrackPlan(name="bench", drawing_file="bench", scale_ratio=1.0, outlines=())
        self.made = MadeList()
        self.versions: dict[str, str] = {}
        self.functions: tuple[Callable[..., Any], ...] = ()
        self.styles: tuple[Callable[..., Any], ...] = ()
        self._sections: dict[str, Section] = {}

    def put(self, *functions: Callable[..., Any]) -> None:
        """Put stages and outputs on the bench in place of those that are there."""
        self.functions, self.styles = functions, ()

    def plug(self, *plugins: Any) -> None:
        """Put on all that plugins supply, in place of what is there: modules or objects with hooks.

        A settings value that chooses a style picks it, as in a project file.
        """

        def supplied(hook: str) -> tuple[Callable[..., Any], ...]:
            return tuple(f for p in plugins if hasattr(p, hook) for f in getattr(p, hook)())

        self.put(*supplied("boardwright_stages"), *supplied("boardwright_outputs"))
        self.styles = supplied("boardwright_styles")

    def set(self, *sections: Section) -> None:
        """Settings for the runs to come; a section that is not set has its defaults."""
        for section in sections:
            self._sections[type(section).table_name] = section

    def run(self, jobs: int = 1, upto: str = "") -> Outcome:
        """Run what changed since the last run. ``ran`` of the outcome says what that was.

        With ``upto``, the name of a stage, only that and what it needs are run, and no outputs.

        Raises PluginError when the stages do not fit together, InputError when one finds the plan unusable.
        """
        tables = {name: msgspec.to_builtins(section) for name, section in self._sections.items()}
        offered, styles = ([wire(f, "bench") for f in fs] for fs in (self.functions, self.styles))
        catalogue = arrange(offered, styles, tables)
        sections = {name: self._sections.get(name) or kind() for name, kind in catalogue.sections.items()}
        prints = CodePrints({f.__module__.partition(".")[0] for f in (*self.functions, *self.styles)})
        executor = workers.start(jobs)
        run = Run(
            catalogue,
            {TrackPlan: (self.plan, ()), MadeList: (self.made, ())},
            sections,
            Provenance(),
            self.store,
            prints,
            self.versions,
            lambda _: None,
            executor,
        )
        try:
            return run.go(catalogue.needs(upto) if upto else None)
        finally:
            if executor:
                executor.shutdown(cancel_futures=True)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.store.close()
