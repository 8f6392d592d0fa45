"""`boardwright pack --watch`: make the pack again at every save of drawing, devices, settings or rules, and
show it in a browser page that follows.

The pack's files are served to this computer alone (127.0.0.1), just as they lie there, in a frame that looks
every second whether a newer pack has come.
"""

from __future__ import annotations

import contextlib
import sys
import threading
import time
from collections.abc import Callable
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

LOOK_S = 0.4
NAMED = (  # settings that name files: table, key, default
    ("drawing", "file", ""),
    ("devices", "file", ""),
    ("stages", "local", ""),
    ("house", "rules", ""),
    ("made", "file", "made.json"),
)
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


def watch(project_file: Path, out: Path, make: Callable[[], int], port: int) -> int:
    """Make, then make again whenever a file that counts changes; until Ctrl-C. Returns the last exit status.

    Raises InputError when the port is taken.
    """
    server = _server(out, port)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    host, at = str(server.server_address[0]), server.server_address[1]
    print(f"Watching {project_file}. The pack follows at http://{host}:{at}/ (Ctrl-C ends it).", flush=True)
    status = 0
    with contextlib.suppress(KeyboardInterrupt):
        while True:
            seen = look(project_file)
            status = make()
            sys.stdout.flush()
            seen = _until_changed(project_file, seen)
    server.shutdown()
    server.server_close()
    print("\nNo longer watching. The pack is as it was made last.")
    return status


def look(project_file: Path) -> dict[Path, tuple[int, int] | None]:
    """Time and size of every file that counts; None for one that is not there.

    While the project file cannot be read, it alone is looked at: what it names is not known.
    """
    from ..errors import BoardwrightError
    from ..project import read_tables

    folder = project_file.parent
    names = {project_file.name}
    try:
        tables = read_tables(project_file)
    except BoardwrightError:
        tables = {}
    keys = (
        ("drawing", "file"),
        ("devices", "file"),
        ("stages", "local"),
        ("house", "rules"),
        ("made", "file"),
    )
    for table, key in keys:
        values = tables.get(table, {})
        name = values.get(key, "made.json" if table == "made" else "") if isinstance(values, dict) else ""
        if isinstance(name, str) and name:
            names.add(name)
    return {folder / name: _stamp(folder / name) for name in sorted(names)}


def _until_changed(project_file: Path, seen: dict[Path, Any]) -> dict[Path, Any]:
    """Wait for a change, and then until nothing changes any more: programs save in several steps."""
    while (now := look(project_file)) == seen:
        time.sleep(LOOK_S)
    while True:
        time.sleep(LOOK_S)
        if (later := look(project_file)) == now:
            return now
        now = later


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
