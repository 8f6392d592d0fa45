"""A real headless Chromium over its own debugging pipe, with the standard library alone.

``installed()`` tells where one is; a test that needs one asks first and then checks less without it. Messages
are JSON, each ended by a zero byte, on file descriptors 3 (to the browser) and 4 (from it).
"""

from __future__ import annotations

import base64
import json
import os
import shutil
import subprocess
import tempfile
from pathlib import Path
from types import TracebackType
from typing import Any

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
OPTIONS = (
    *("--headless=new", "--remote-debugging-pipe", "--no-sandbox", "--disable-gpu", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync", "--hide-scrollbars"),
)


def installed() -> str | None:
    return next((found for name in NAMES if (found := shutil.which(name))), None)


class Chromium:
    """One browser with one page."""

    def __init__(self, program: str) -> None:
        self._folder = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        to_read, self._write = os.pipe()
        self._read, to_write = os.pipe()
        # The browser must find its ends at 3 and 4; a shell puts them there whatever they are here.
        command = f'exec "$@" 3<&{to_read} 4>&{to_write}'
        self._process = subprocess.Popen(
            ["bash", "-c", command, "chromium", program, *OPTIONS, f"--user-data-dir={self._folder.name}"],
            pass_fds=(to_read, to_write),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(to_read)
        os.close(to_write)
        self._number = 0
        self._left = b""
        self._session: str | None = None
        self.events: list[dict[str, Any]] = []
        target = self.send("Target.createTarget", url="about:blank")["targetId"]
        self._session = self.send("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Log"):
            self.send(f"{domain}.enable")

    def __enter__(self) -> Chromium:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._process.terminate()
        self._process.wait(20)
        os.close(self._read)
        os.close(self._write)
        self._folder.cleanup()

    def send(self, method: str, **parameters: Any) -> Any:
        """Ask the browser for something and wait for its answer; events that come before it are kept."""
        self._number += 1
        asked: dict[str, Any] = {"id": self._number, "method": method, "params": parameters}
        if self._session:
            asked["sessionId"] = self._session
        data = json.dumps(asked).encode() + b"\0"
        while data:
            data = data[os.write(self._write, data) :]
        while True:
            said = self._next()
            if said.get("id") == self._number:
                assert "error" not in said, f"{method}: {said['error']}"
                return said["result"]
            self.events.append(said)

    def _next(self) -> dict[str, Any]:
        while b"\0" not in self._left:
            more = os.read(self._read, 1 << 20)
            assert more, "the browser has gone"
            self._left += more
        message, _, self._left = self._left.partition(b"\0")
        answer: dict[str, Any] = json.loads(message)
        return answer

    def open(self, page: Path, width: int = 1400, height: int = 900) -> None:
        """Load a file as a person would, from disk, in a window of this size."""
        self.send(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=False,
        )
        self.events.clear()
        self.send("Page.navigate", url=page.resolve().as_uri())
        while not any(e.get("method") == "Page.loadEventFired" for e in self.events):
            self.events.append(self._next())

    def resize(self, width: int, height: int = 900) -> None:
        self.send(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=False,
        )

    def ask(self, script: str) -> Any:
        """The value of a JavaScript expression; a promise is waited for."""
        found = self.send(
            "Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True, userGesture=True
        )
        assert "exceptionDetails" not in found, found["exceptionDetails"]
        return found["result"].get("value")

    def press(self, key: str, code: int, text: str = "") -> None:
        """A key, as from a keyboard. ``code`` is its virtual key code."""
        shared = {"key": key, "code": key, "windowsVirtualKeyCode": code}
        down = {"type": "keyDown" if text else "rawKeyDown", **shared} | ({"text": text} if text else {})
        self.send("Input.dispatchKeyEvent", **down)
        self.send("Input.dispatchKeyEvent", type="keyUp", **shared)

    def errors(self) -> list[str]:
        """What the console holds as errors or warnings since the page was opened, and uncaught exceptions."""
        found = []
        for event in self.events:
            told = event.get("params", {})
            match event.get("method"):
                case "Runtime.exceptionThrown":
                    found.append(str(told["exceptionDetails"]))
                case "Log.entryAdded" if told["entry"]["level"] in ("error", "warning"):
                    found.append(str(told["entry"]))
                case "Runtime.consoleAPICalled" if told["type"] in ("error", "warning"):
                    found.append(str(told["args"]))
        return found

    def scheme(self, name: str) -> None:
        """``light`` or ``dark``."""
        self.send("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": name}])

    def scripts(self, allowed: bool) -> None:
        self.send("Emulation.setScriptExecutionDisabled", value=not allowed)

    def printed(self) -> bytes:
        """The page as PDF, by its own paper size."""
        data = self.send("Page.printToPDF", preferCSSPageSize=True, printBackground=False)["data"]
        return base64.b64decode(data)

    def shot(self) -> bytes:
        return base64.b64decode(self.send("Page.captureScreenshot", captureBeyondViewport=True)["data"])
