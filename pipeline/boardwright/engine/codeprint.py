"""Fingerprint of a stage's code: its module and every module it imports inside the plugin packages.

Comments, blank lines and docstrings do not count; anything else does, and so do files that are no Python
(templates, tables) in the folders of those modules. What this does not see: modules imported by a computed
name, data files elsewhere, environment variables (``docs/limits.md``).
"""

from __future__ import annotations

import ast
import hashlib
import importlib.util
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Protocol


class Memo(Protocol):
    """Remembers (fingerprint, imports) of a source file by the digest of its bytes and its package."""

    def known_prints(self) -> dict[str, tuple[str, tuple[str, ...]]]: ...

    def keep_prints(self, prints: dict[str, tuple[str, tuple[str, ...]]]) -> None: ...


class CodePrints:
    """Fingerprints within one process; a file is read once, and parsed if ``memo`` does not know it."""

    def __init__(self, own_packages: Iterable[str], memo: Memo | None = None) -> None:
        self._own = frozenset(own_packages)
        self._memo = memo
        self._known = memo.known_prints() if memo else {}
        self._new: dict[str, tuple[str, tuple[str, ...]]] = {}
        self._folders: dict[Path, str] = {}
        self._modules: dict[str, tuple[str, tuple[str, ...]] | None] = {}

    def of(self, module: str) -> str:
        """Digest over the import closure of a module."""
        whole = hashlib.sha256()
        for name in sorted(self.closure(module)):
            entry = self._module(name)
            assert entry is not None
            whole.update(f"{name}:{entry[0]}\n".encode())
        if self._memo and self._new:
            self._memo.keep_prints(self._new)
            self._new = {}
        return whole.hexdigest()

    def closure(self, module: str) -> set[str]:
        seen: set[str] = set()
        todo = [module]
        while todo:
            name = todo.pop()
            if name in seen or name.partition(".")[0] not in self._own:
                continue
            entry = self._module(name)
            if entry is None:
                continue
            seen.add(name)
            todo.extend(entry[1])
        return seen

    def _module(self, name: str) -> tuple[str, tuple[str, ...]] | None:
        if name not in self._modules:
            self._modules[name] = self._read(name)
        return self._modules[name]

    def _read(self, name: str) -> tuple[str, tuple[str, ...]] | None:
        path = source_of(name)
        if path is None:
            return None
        source = path.read_bytes()
        package = name if path.name == "__init__.py" else name.rpartition(".")[0]
        raw = hashlib.sha256(f"{sys.version_info[:2]} {package}\n".encode() + source).hexdigest()
        if raw not in self._known:
            tree = ast.parse(source)
            code = hashlib.sha256(ast.dump(_without_docstrings(tree)).encode()).hexdigest()
            self._known[raw] = self._new[raw] = (code, tuple(sorted(_imports(tree, package))))
        code, imports = self._known[raw]
        data = self._data(path.parent)
        return hashlib.sha256(f"{code}\n{data}".encode()).hexdigest(), imports

    def _data(self, folder: Path) -> str:
        """Names and digests of what is no Python in a module's folder."""
        if folder not in self._folders:
            files = sorted(
                p for p in folder.iterdir() if p.is_file() and not p.name.endswith((".py", ".pyc"))
            )
            digests = (f"{p.name}:{hashlib.sha256(p.read_bytes()).hexdigest()}" for p in files)
            self._folders[folder] = "\n".join(digests) if (folder / "__init__.py").is_file() else ""
        return self._folders[folder]


def source_of(module: str) -> Path | None:
    """The source file of a module, found without importing it; None when there is none."""
    top, *rest = module.split(".")
    loaded = sys.modules.get(top)
    spec = loaded.__spec__ if loaded is not None else importlib.util.find_spec(top)
    if spec is None or spec.origin is None:
        return None
    if not rest:
        return Path(spec.origin)
    if spec.submodule_search_locations is None:
        return None
    stem = Path(spec.origin).parent.joinpath(*rest)
    for path in (stem.with_suffix(".py"), stem / "__init__.py"):
        if path.is_file():
            return path
    return None


def _without_docstrings(tree: ast.Module) -> ast.Module:
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
            first = node.body[0] if node.body else None
            if (
                isinstance(first, ast.Expr)
                and isinstance(first.value, ast.Constant)
                and isinstance(first.value.value, str)
            ):
                node.body = node.body[1:]
    return tree


def _imports(tree: ast.Module, package: str) -> set[str]:
    """Absolute names of what a module imports; of ``from a import b``, both a and a.b (b may be a module)."""
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            start = node.module or ""
            if node.level:
                parts = package.split(".")
                above = parts[: len(parts) - (node.level - 1)]
                start = ".".join([*above, start] if start else above)
            names.add(start)
            names.update(f"{start}.{alias.name}" for alias in node.names)
    return names
