"""Fingerprint of a stage's code: its module and every module it imports inside the plugin packages.

Comments, blank lines and docstrings do not count; anything else does, and so do files that are no Python
(templates, tables) in the folders of those modules, and in folders there that are no package.
What this does not see: modules imported by a computed name, data files elsewhere, environment variables
(``docs/limits.md``).
"""

from __future__ import annotations

import ast
import hashlib
import importlib.util
import os
import sys
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from types import CodeType
from typing import Any, Protocol

from . import printed

_HERE = Path(__file__)
_PACKAGE = "__init__.py"


class Memo(Protocol):
    """Remembers (fingerprint, imports) of a source file by the digest of its bytes and its package."""

    def known_prints(self) -> printed.Prints: ...

    def keep_prints(self, prints: printed.Prints) -> None: ...


class CodePrints:
    """Fingerprints within one process; a file is read once, and parsed if it was never seen before.

    ``memo`` remembers too, for where nothing may be kept beside the installed code (see ``printed``).
    """

    def __init__(self, own_packages: Iterable[str], memo: Memo | None = None) -> None:
        self._own = frozenset(own_packages)
        self._memo = memo
        self._known = {**printed.known(_HERE), **(memo.known_prints() if memo else {})}
        self._new: printed.Prints = {}
        self._found: dict[str, str] = {}
        self._folders: dict[str, str] = {}
        self._listings: dict[str, frozenset[str]] = {}
        self._modules: dict[str, tuple[str, tuple[str, ...]] | None] = {}
        self._paths: dict[str, str] = {}
        self._inside: dict[str, tuple[str, frozenset[str]] | None] = {}
        self._named: dict[str, frozenset[str]] = {}
        self._single: set[str] = set()  # modules that are no package: what they give is no module

    def remember_in(self, memo: Memo) -> None:
        self._memo = memo

    def of(self, module: str) -> str:
        """Digest over the import closure of a module."""
        if module not in self._found:
            self._found[module] = self._of(module)
        return self._found[module]

    def _of(self, module: str) -> str:
        lines = []
        for name in sorted(self.closure(module)):
            entry = self._modules[name]
            assert entry is not None
            lines.append(f"{name}:{entry[0]}\n")
        if self._new:
            printed.keep(_HERE, self._new)
            if self._memo:
                self._memo.keep_prints(self._new)
            self._new = {}
        return hashlib.sha256("".join(lines).encode()).hexdigest()

    def closure(self, module: str) -> set[str]:
        """The module and every one of ours that it imports, itself or through others."""
        seen: set[str] = set()
        new = {module} if self._is_ours(module) else set()
        while new:
            seen |= new
            new = set().union(*map(self._ours_in, new)) - seen
        return seen

    def _ours_in(self, module: str) -> frozenset[str]:
        """Modules of ours that a module names itself."""
        if module not in self._named:
            entry = self._module(module)
            assert entry is not None
            inside = [n for n in entry[1] if n.rpartition(".")[0] not in self._single]
            self._named[module] = frozenset(filter(self._is_ours, inside))
        return self._named[module]

    def _is_ours(self, name: str) -> bool:
        if name in self._modules:
            return self._modules[name] is not None
        return name.partition(".")[0] in self._own and self._module(name) is not None

    def _module(self, name: str) -> tuple[str, tuple[str, ...]] | None:
        if name not in self._modules:
            self._modules[name] = self._read(name)
        return self._modules[name]

    def _read(self, name: str) -> tuple[str, tuple[str, ...]] | None:
        path = self._path(name)
        if path is None:
            return None
        self._paths[name] = path
        source = _bytes(path)
        folder, file_name = os.path.split(path)
        package = name if file_name == _PACKAGE else name.rpartition(".")[0]
        if package != name:
            self._single.add(name)
        raw = hashlib.sha256(f"{sys.version_info[:2]} {package}\n".encode() + source).hexdigest()
        if raw not in self._known:
            tree = ast.parse(source)
            named = _strip(tree, package)
            whole = hashlib.sha256()
            _feed(compile(tree, "", "exec", dont_inherit=True), whole.update)
            self._known[raw] = self._new[raw] = (whole.hexdigest(), tuple(sorted(named)))
        code, imports = self._known[raw]
        data = self._data(folder)
        return hashlib.sha256(f"{code}\n{data}".encode()).hexdigest(), imports

    def _path(self, name: str) -> str | None:
        """The source file of a module. Most names asked for are none: what a module gives, not a module."""
        package, _, leaf = name.rpartition(".")
        inside = self._modules_in(package) if package else None
        if inside is None:
            return source_of(name)
        folder, listing = inside
        if (single := f"{leaf}.py") in listing:
            return f"{folder}/{single}"
        if leaf in listing and _PACKAGE in self._listing(f"{folder}/{leaf}"):
            return f"{folder}/{leaf}/{_PACKAGE}"
        return None

    def _modules_in(self, package: str) -> tuple[str, frozenset[str]] | None:
        """Folder of a package and what is in it, nothing where a module is none; None when it is not ours."""
        if package not in self._inside:
            path = self._paths[package] if self._is_ours(package) else None
            folder, file_name = os.path.split(path or "")
            listing = self._listing(folder) if file_name == _PACKAGE else frozenset[str]()
            self._inside[package] = (folder, listing) if path else None
        return self._inside[package]

    def _listing(self, folder: str) -> frozenset[str]:
        if folder not in self._listings:
            self._listings[folder] = frozenset(os.listdir(folder) if os.path.isdir(folder) else ())
        return self._listings[folder]

    def _data(self, folder: str) -> str:
        """Names and digests of what is no Python in a module's folder, or below it where no package is."""
        if folder not in self._folders:
            digests = (
                f"{name}:{hashlib.sha256(_bytes(f'{folder}/{name}')).hexdigest()}"
                for name in sorted(self._data_files(folder, ""))
            )
            self._folders[folder] = "\n".join(digests) if _PACKAGE in self._listing(folder) else ""
        return self._folders[folder]

    def _data_files(self, folder: str, inside: str) -> Iterator[str]:
        for name in self._listing(f"{folder}/{inside}" if inside else folder):
            path = f"{inside}/{name}" if inside else name
            if name.endswith((".py", ".pyc")) or name == "__pycache__":
                continue
            if not os.path.isdir(f"{folder}/{path}"):
                yield path
            elif _PACKAGE not in self._listing(f"{folder}/{path}"):
                yield from self._data_files(folder, path)


def source_of(module: str) -> str | None:
    """The source file of a module, found without importing it; None when there is none."""
    top, *rest = module.split(".")
    loaded = sys.modules.get(top)
    spec = loaded.__spec__ if loaded is not None else importlib.util.find_spec(top)
    if spec is None or spec.origin is None:
        return None
    if not rest:
        return spec.origin
    if spec.submodule_search_locations is None:
        return None
    stem = "/".join([os.path.dirname(spec.origin), *rest])
    return next((path for path in (f"{stem}.py", f"{stem}/__init__.py") if os.path.isfile(path)), None)


def _bytes(path: str) -> bytes:
    with open(path, "rb", buffering=0) as file:
        return file.read()


def _strip(tree: ast.Module, package: str) -> set[str]:
    """Take docstrings out of a module's tree; answer what it imports, by absolute names.

    Only statements are visited: neither docstrings nor imports stand inside expressions.
    """
    names: set[str] = set()
    todo: list[Any] = [tree]
    while todo:
        node = todo.pop()
        match node:
            case ast.Import():
                names.update(alias.name for alias in node.names)
            case ast.ImportFrom():
                names |= _imported_from(node, package)
            case ast.Module() | ast.ClassDef() | ast.FunctionDef() | ast.AsyncFunctionDef():
                _drop_docstring(node)
        for part in ("body", "orelse", "finalbody", "handlers", "cases"):
            inside = getattr(node, part, None)
            if isinstance(inside, list):  # a conditional expression has a body too, which is no list
                todo.extend(inside)
    return names


def _drop_docstring(node: ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) -> None:
    match node.body:
        case [ast.Expr(value=ast.Constant(value=str())) as first, *rest]:
            node.body = rest or [ast.copy_location(ast.Pass(), first)]


def _imported_from(node: ast.ImportFrom, package: str) -> set[str]:
    """Of ``from a import b``, both a and a.b: b may be a module."""
    start = node.module or ""
    if node.level:
        parts = package.split(".")
        above = parts[: len(parts) - (node.level - 1)]
        start = ".".join([*above, start] if start else above)
    return {start, *(f"{start}.{alias.name}" for alias in node.names)}


def _feed(code: CodeType, update: Callable[[bytes], None]) -> None:
    """Everything in compiled code that decides what it does; not where in the file it stands."""
    signature = (code.co_argcount, code.co_posonlyargcount, code.co_kwonlyargcount, code.co_flags)
    variables = (code.co_varnames, code.co_freevars, code.co_cellvars)
    update(repr((code.co_name, signature, variables, code.co_names)).encode())
    update(code.co_code)
    update(code.co_exceptiontable)
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            _feed(constant, update)
        else:
            update(_spelled(constant).encode())


def _spelled(constant: object) -> str:
    """A constant with its type (1, 1.0 and True differ), sets in an order that does not depend on luck."""
    if isinstance(constant, frozenset):
        return f"{{{', '.join(sorted(map(_spelled, constant)))}}}"
    if isinstance(constant, tuple):
        return f"({', '.join(map(_spelled, constant))})"
    return f"{type(constant).__name__} {constant!r}\n"
