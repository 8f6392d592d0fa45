"""`boardwright pack --watch`: make the pack again at every save of drawing, devices, settings or rules, and
show it in a browser page that follows.

One process stays, with its worker processes: what was loaded for one pack is there for the next. Code that
changes meanwhile (a plugin somebody is writing, an upgrade) is never taken for what was loaded: the watching
then starts itself anew.

The pack's files are served to this computer alone (127.0.0.1), just as they lie there, in a frame that looks
every second whether a newer pack has come.
"""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
import threading
import time
import tomllib
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ..engine.known import KnownCode

LOOK_S = 0.02
#: Programs save in several steps: so long nothing may change before a pack is made, by whether all that
#: changed is small (a list, a project file), which is written at once.
QUIET_S, QUIET_SMALL_S = 0.2, 0.025
SMALL_BYTES = 65_536
LOCAL = "[stages] local"
STAMP = "/newest"
FRAME = b"""<!doctype html>
<html lang="en"><meta charset="utf-8"><title>Boardwright: the pack as it is</title>
<style>body{margin:0}iframe{border:0;width:100vw;height:100vh;display:block}</style>
<iframe src="index.html" title="The pack"></iframe>
<script>
let was;
setInterval(async () => {
  try {
    const now = await (await fetch("/newest")).text();
    if (was !== undefined && now !== was) document.querySelector("iframe").contentWindow.location.reload();
    was = now;
  } catch {}  // the watching has ended
}, 1000);
</script>
</html>
"""

type Make = Callable[[Executor | None, KnownCode | None], int]
type Stamps = dict[Path, tuple[int, int] | None]


def watch(
    project_file: Path,
    out: Path,
    make: Make,
    jobs: int | None,
    port: int,
    words: Sequence[str],
) -> int:
    """Make, then make again whenever a file that counts changes; until Ctrl-C. Returns the last exit status.

    ``words`` are the command line that begins this watching, without its port.

    Raises InputError when the port is taken.
    """
    from ..engine import workers
    from ..engine.known import KnownCode

    server = _server(out, port)
    host, at = str(server.server_address[0]), server.server_address[1]
    print(f"Watching {project_file}. The pack follows at http://{host}:{at}/ (Ctrl-C ends it).", flush=True)
    loaded, known = Loaded(project_file), KnownCode()
    pool = workers.start(jobs, loaded.local)
    serving = threading.Thread(target=server.serve_forever, daemon=True)
    status, is_stale = 0, False
    with contextlib.suppress(KeyboardInterrupt):
        while not is_stale:
            seen = look(project_file)
            status = make(pool, known)
            sys.stdout.flush()
            if pool:
                pool.begin()  # while there is a single thread
            if not serving.ident:
                serving.start()
            _until_changed(project_file, seen)
            is_stale = loaded.differs()
    if serving.ident:
        server.shutdown()
    server.server_close()
    if pool:
        pool.shutdown(cancel_futures=True)
    if is_stale:
        print("The code of stages has changed: the watching starts anew.", flush=True)
        return _anew([sys.executable, "-m", "boardwright", *words, "--port", str(at)])
    print("\nNo longer watching. The pack is as it was made last.")
    return status


class Loaded:
    """The code a project's packs are made with, as it was when the watching began or first needed it."""

    def __init__(self, project_file: Path) -> None:
        self._project_file = project_file
        self._known: dict[str, str] = {}
        self.local: Path | None = None
        if not self.differs() and not self._known:
            self._known[LOCAL] = ""  # nothing could be read: workers begin without a local plugin

    def differs(self) -> bool:
        """Whether any of it is another now. While the project file cannot be read, nothing is."""
        from ..door import OWN, own_packages
        from ..engine.keys import library_versions
        from ..engine.receipt import code_files
        from ..errors import BoardwrightError
        from ..project import read_stages

        try:
            choice = read_stages(self._project_file)
        except BoardwrightError:
            return False
        self.local = self._project_file.parent / choice.local if choice.local else None
        now = code_files(own_packages(choice.plugins)) | library_versions([OWN])
        now[LOCAL] = _text(self.local) if self.local else ""
        return any(self._known.setdefault(name, digest) != digest for name, digest in now.items())


def _text(path: Path) -> str:
    try:
        return path.read_text(errors="surrogateescape")
    except OSError:
        return ""


def _anew(words: Sequence[str]) -> int:
    """This process becomes another, where the system can; else it waits for that one's end."""
    if sys.platform != "win32":
        os.execv(words[0], list(words))
    return subprocess.call(words)


def look(project_file: Path) -> Stamps:
    """Time and size of every file that counts; None for one that is not there.

    A file counts when a setting may name it: any text with an ending. While the project file cannot be read,
    it alone is.
    """
    from ..errors import BoardwrightError
    from ..made import MadeSettings
    from ..project import read_tables

    try:
        tables = read_tables(project_file)
    except BoardwrightError:
        try:
            tables = tomllib.loads(project_file.read_text())
        except (OSError, ValueError):
            tables = {}
    names = {project_file.name, MadeSettings().file, *_names(tables)}
    return {project_file.parent / name: _stamp(project_file.parent / name) for name in sorted(names)}


def _names(value: Any) -> Iterator[str]:
    """Texts that may be names of files, however deep they stand."""
    if isinstance(value, dict):
        for inner in value.values():
            yield from _names(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _names(inner)
    elif isinstance(value, str) and os.path.splitext(value)[1]:
        yield value


def _until_changed(project_file: Path, seen: Stamps) -> None:
    """Wait for a change, and then until nothing changes any more."""
    while {path: _stamp(path) for path in seen} == seen:  # which files count, the project file says
        time.sleep(LOOK_S)
    now = look(project_file)
    while True:
        time.sleep(quiet_s(seen, now))
        if (later := look(project_file)) == now:
            return
        now = later


def quiet_s(seen: Stamps, now: Stamps) -> float:
    """Seconds without a change after which a save is taken to be whole. A file that is empty or not there (of
    a program that is about to fill it, or to put another in its place) is waited for as long as a large one.
    """
    changed = [stamp for path, stamp in now.items() if stamp != seen.get(path)]
    small = all(stamp and 0 < stamp[1] <= SMALL_BYTES for stamp in changed) and now.keys() == seen.keys()
    return QUIET_SMALL_S if small else QUIET_S


def _stamp(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except (OSError, ValueError):
        return None
    return found.st_mtime_ns, found.st_size


class _Pages(SimpleHTTPRequestHandler):
    """The pack's files; a frame that shows its page; a stamp that changes with each new pack."""

    def do_GET(self) -> None:
        if self.path == STAMP:
            self._send(str(_stamp(Path(self.directory) / "SHA256SUMS")).encode(), "text/plain")
        elif self.path == "/":
            self._send(FRAME, "text/html; charset=utf-8")
        else:
            super().do_GET()

    def end_headers(self) -> None:
        self.send_header("Cache-Control", "no-store")
        super().end_headers()

    def _send(self, data: bytes, kind: str) -> None:
        self.send_response(200)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(data)))
        self.end_headers()
        self.wfile.write(data)

    def log_message(self, format: str, *values: Any) -> None:
        """The terminal is for findings."""


def _server(out: Path, port: int) -> ThreadingHTTPServer:
    from ..errors import InputError

    try:
        return ThreadingHTTPServer(("127.0.0.1", port), partial(_Pages, directory=str(out)))
    except OSError as problem:
        raise InputError.of(
            "BW-WATCH-001",
            f"the page cannot be shown at port {port}: {problem.strerror or problem}",
            mend="Choose another with --port, or leave it out.",
        ) from problem
