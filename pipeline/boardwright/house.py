"""House rules without code: a TOML file that a club publishes once and its members name in their projects.

::

    by = "Harbour Wood Model Club"
    edition = "2026"

    [[rules]]
    setting = "joists.spacing_mm"
    is = 350
    at_most = 400
    projects_may_change = true
    why = "Our boards are stood on edge in the van."

Glossary
    rule      what a club says of one setting: its value for all who say nothing (``is``), and what is allowed
              (``at_least``, ``at_most``, ``one_of``, ``never``)
    broken    a project's value is not the rule's, or not allowed. The project's value stands, for the builder
              is never overruled silently, and a finding names the rule and who set it

What this does not know: what any setting means. A rule can name every setting of ``layout.toml`` but those
that choose code or the rules themselves; a file of rules can never make code run.
"""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Annotated, Any

import msgspec

from .disk import read_file
from .door import split
from .errors import InputError
from .findings import Finding, Place, Severity
from .refusing import allowed_words, problem, written
from .settings import Section
from .stages import KeptRule

NOT_FOR_RULES = ("house", "stages")
_RULE = "A rule names one setting and says at least one of: is, at_least, at_most, one_of, never."
type Keys = tuple[str, ...]


class HouseSettings(Section, frozen=True, kw_only=True, table="house"):
    rules: Annotated[
        str,
        msgspec.Meta(
            description="A file of house rules that this project follows, named from this file's folder."
        ),
    ] = ""


class Rule(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What a club says of one setting."""

    setting: str
    value: Any = msgspec.field(default=msgspec.UNSET, name="is")
    at_least: float | None = None
    at_most: float | None = None
    one_of: tuple[Any, ...] | None = None
    never: tuple[Any, ...] = ()
    projects_may_change: bool = False
    by: str = ""
    why: str = ""

    @property
    def keys(self) -> Keys:
        """The setting's place, table first. Raises ValueError for what is no name of a setting."""
        if "\n" in self.setting or "=" in self.setting:
            raise ValueError(self.setting)
        here: Any = tomllib.loads(f"{self.setting} = 0")
        keys: list[str] = []
        while isinstance(here, dict):
            ((key, here),) = here.items()
            keys.append(key)
        return tuple(keys)

    @property
    def shown(self) -> str:
        """The setting as a project file has it: ``[joists] spacing_mm``."""
        table, *inner = self.keys
        return f"[{table}] {'.'.join(inner)}"

    @property
    def says(self) -> str:
        """The rule in words."""
        words = [] if self.value is msgspec.UNSET else [_written(self.value)]
        words += [f"at least {self.at_least:g}"] if self.at_least is not None else []
        words += [f"at most {self.at_most:g}"] if self.at_most is not None else []
        words += ["one of " + ", ".join(map(_written, self.one_of))] if self.one_of is not None else []
        words += ["never " + " or ".join(map(_written, self.never))] if self.never else []
        return ", ".join(words)

    def allows(self, value: Any) -> bool:
        """Whether a value keeps to what is allowed; a number left out is not measured."""
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            if self.at_least is not None and value < self.at_least:
                return False
            if self.at_most is not None and value > self.at_most:
                return False
        if self.one_of is not None and value not in self.one_of:
            return False
        return value not in self.never


class Rulebook(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A club's rules: who says so, which edition, which plugins they need."""

    by: str
    edition: str = ""
    plugins: tuple[str, ...] = ()
    rules: tuple[Rule, ...] = ()
    file: str = ""

    @property
    def whose(self) -> str:
        return f"{self.by}, {self.edition}" if self.edition else self.by


NO_RULES = Rulebook(by="")


def read_rules(tables: Mapping[str, Any], folder: Path, project: str) -> Rulebook:
    """The rules a project names, checked by themselves. Raises InputError with every problem found."""
    house = tables.get("house", {})
    name = house.get("rules", "") if isinstance(house, dict) else ""
    if not name or not isinstance(name, str):
        return NO_RULES
    try:
        raw = tomllib.loads(read_file(folder / name).decode("utf-8-sig"))
    except OSError as error:
        raise InputError.of(
            "BW-RULE-010",
            f"the house rules {name} cannot be read: {error.strerror or error}",
            Place(file=project, key="[house] rules"),
            "Put the file where the project names it, or correct the name.",
        ) from error
    except (ValueError, RecursionError) as error:
        raise InputError.of(
            "BW-RULE-010",
            f"the house rules cannot be read: {error}",
            Place(file=name),
            "Correct that line; text values need quotation marks, numbers none.",
        ) from error
    raw.pop("file", None)
    try:
        book = msgspec.structs.replace(msgspec.convert(raw, type=Rulebook), file=name)
    except msgspec.ValidationError as error:
        raise InputError([_misread(str(error), name)]) from None
    problems = [p for rule in book.rules for p in _faulty(rule, name)]
    problems = problems or _twice(book)
    if problems:
        raise InputError(problems)
    return book


def _misread(says: str, file: str) -> Finding:
    """What the validator has against the file: ``Expected `str`, got `int` - at `$.rules[0].setting```."""
    expected = re.match(r"Expected (`[^`]*`[^,]*)", says)
    says, _, path = says.replace("`", "").partition(" - at $")
    at = re.fullmatch(r"\.rules\[(\d+)\](?:\.(.*))?", path)
    kind = Rule if at else Rulebook
    where = f"rule {int(at[1]) + 1}" if at else "the file"
    known = kind.__struct_encode_fields__
    mend = f'Write by = "your club" at the top, then [[rules]]. {_RULE}'
    if unknown := re.fullmatch(r"Object contains unknown field (.*)", says):
        near = difflib.get_close_matches(unknown[1], known, n=1, cutoff=0.5)
        says = f"{where} has an unknown key {unknown[1]!r}"
        mend = f"Did you mean {near[0]!r}?" if near else mend
    elif missing := re.fullmatch(r"Object missing required field (.*)", says):
        says = f"{where} has no {missing[1]!r}"
    else:
        key = (at[2] if at else path.lstrip(".")) or ""
        says = f"it must be {allowed_words(expected[1])}" if expected else says
        says = f"{where}{f', {key}' if key else ''}: {says}"
    return problem("BW-RULE-011", f"house rules: {says}", file, "[[rules]]", mend)


def _faulty(rule: Rule, file: str) -> Iterator[Finding]:
    try:
        keys = rule.keys
    except ValueError:
        says = f"{rule.setting!r} is not the name of a setting"
        mend = 'Write table and key, as in "joists.spacing_mm"; docs/project-file.md has them all.'
        yield problem("BW-RULE-011", says, file, "[[rules]] setting", mend)
        return
    if keys[0] in NOT_FOR_RULES or len(keys) < 2:
        says = f"a house rule cannot set {rule.setting}"
        mend = (
            "What code runs, and which rules are followed, only the project file says. "
            "To ask for plugins, write plugins = [...] at the top of the rules."
            if keys[0] in NOT_FOR_RULES
            else "Name a key in that table."
        )
        yield problem("BW-RULE-011", says, file, "[[rules]] setting", mend)
    elif not rule.says:
        yield problem("BW-RULE-012", f"the rule for {rule.shown} says nothing", file, rule.shown, _RULE)
    elif rule.value is not msgspec.UNSET and not rule.allows(rule.value):
        says = f"the rule for {rule.shown} forbids its own value: {rule.says}"
        yield problem("BW-RULE-012", says, file, rule.shown, "Change one of the two.")
    elif None not in (rule.at_least, rule.at_most) and rule.at_least > rule.at_most:  # type: ignore[operator]  # neither is None
        says = f"the rule for {rule.shown} allows nothing: {rule.says}"
        yield problem("BW-RULE-012", says, file, rule.shown, "Change one of the two.")


def _twice(book: Rulebook) -> list[Finding]:
    """Rules that set one setting, or a setting inside another that is set."""
    found = []
    given = [r for r in book.rules if r.value is not msgspec.UNSET]
    for n, rule in enumerate(given):
        for other in given[:n]:
            short, long = sorted((rule.keys, other.keys), key=len)
            if long[: len(short)] == short:
                says = f"two rules give {rule.shown} a value"
                found.append(problem("BW-RULE-012", says, book.file, rule.shown, "Keep one of them."))
                break
    return found


def given_values(book: Rulebook) -> dict[str, Any]:
    """The values the rules give, as tables of a project file."""
    tables: dict[str, Any] = {}
    for rule in book.rules:
        if rule.value is not msgspec.UNSET:
            _put(tables, rule.keys, rule.value)
    return tables


def laid_under(book: Rulebook, tables: Mapping[str, Any]) -> dict[str, Any]:
    """A project's tables with the rules' values where the project says nothing."""
    laid: dict[str, Any] = _over(given_values(book), tables)
    return laid


def missing_plugins(book: Rulebook, named: Sequence[str], project: str) -> list[Finding]:
    """A problem for each plugin the rules need and the project does not name."""
    have = {split(n)[0] for n in named}
    return [
        problem(
            "BW-RULE-013",
            f"the house rules of {book.whose} need the plugin {wanted}, which the project does not name",
            project,
            "[stages] plugins",
            f'Add "{wanted}" to [stages] plugins, if you trust it: code runs only when you name it.',
        )
        for wanted in book.plugins
        if split(wanted)[0] not in have
    ]


def judge(
    book: Rulebook, settled: Mapping[str, Section], project: str
) -> tuple[tuple[KeptRule, ...], tuple[Finding, ...]]:
    """Each rule with what became of it, and a finding for each that is broken or departed from."""
    kept, findings = [], []
    wanted = given_values(book)
    for rule in book.rules:
        table, *inner = rule.keys
        section = settled[table]
        values = list(_at(msgspec.to_builtins(section), tuple(inner)))
        other: list[Any] = []
        if rule.value is not msgspec.UNSET:
            asked = msgspec.to_builtins(msgspec.convert(wanted[table], type=type(section)))
            other = [v for v in values if v not in list(_at(asked, tuple(inner)))]
        bad = [v for v in values if not rule.allows(v)]
        told = [*bad, *other]
        kept.append(
            KeptRule(
                setting=rule.shown,
                says=rule.says,
                by=rule.by or book.whose,
                why=rule.why,
                may_change=rule.projects_may_change,
                kept=not told,
            )
        )
        if told:
            findings.append(_broken(rule, book, told[0], bool(bad), project))
    return tuple(kept), tuple(findings)


def _broken(rule: Rule, book: Rulebook, value: Any, forbidden: bool, project: str) -> Finding:
    by = rule.by or book.whose
    why = f" ({rule.why.rstrip('.')})" if rule.why else ""
    says = f"{rule.shown} is {_written(value)}; the house rule of {by} says {rule.says}{why}"
    where = (Place(file=project, key=rule.shown), Place(file=book.file))
    if not rule.projects_may_change:
        code, severity = "BW-RULE-001", Severity.FAULT
        mend = f"Keep to the rule in {project}, or have {by} change it: no project may depart from it."
    elif forbidden:
        code, severity = "BW-RULE-002", Severity.CAUTION
        mend = f"The rule lets a project depart from it: ask {by} whether this board will still fit."
    else:
        code, severity = "BW-RULE-003", Severity.NOTE
        mend = "Nothing to do: the rule lets a project choose."
    return Finding(code=code, severity=severity, says=says, where=where, mend=mend)


def _put(tables: dict[str, Any], keys: Keys, value: Any) -> None:
    for key in keys[:-1]:
        tables = tables.setdefault(key, {})
    tables[keys[-1]] = value


def _over(below: Any, above: Any) -> Any:
    """``above`` wherever it says something; tables are gone into, lists are taken whole."""
    if not (isinstance(below, Mapping) and isinstance(above, Mapping)):
        return above
    both = {k: _over(below[k], v) if k in below else v for k, v in above.items()}
    return both | {k: v for k, v in below.items() if k not in above}


def _at(value: Any, keys: Keys) -> Iterator[Any]:
    """The values at a place; of a list, each entry's."""
    if isinstance(value, (list, tuple)) and keys:
        for entry in value:
            yield from _at(entry, keys)
    elif not keys:
        if value is not None:
            yield value
    elif isinstance(value, dict) and keys[0] in value:
        yield from _at(value[keys[0]], keys[1:])


def _written(value: Any) -> str:
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(map(_written, value)) + "]"
    return f"{value:g}" if isinstance(value, float) else written(value)
