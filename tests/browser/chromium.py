"""A headless Chromium, driven over its DevTools protocol.

Needs the program `chromium` and the package `websockets`; nothing is fetched.
"""

import base64
import contextlib
import json
import shutil
import subprocess
import tempfile
import time
import urllib.request
from pathlib import Path

from websockets.sync.client import connect

PROGRAM = shutil.which("chromium") or shutil.which("chromium-browser")


class Failed(Exception):
    """The page threw, or something awaited did not happen."""


class Chromium:
    """A browser with one page. Use as a context manager."""

    def __init__(self, width=1400, height=1000, scale=1, dark=False):
        self.folder = tempfile.TemporaryDirectory(prefix="hoopset-browser-")
        self.downloads = Path(self.folder.name) / "downloads"
        self.downloads.mkdir()
        self.process = subprocess.Popen(
            [
                PROGRAM,
                "--headless=new",
                "--no-sandbox",
                "--disable-gpu",
                "--disable-dev-shm-usage",
                "--no-first-run",
                "--disable-background-networking",
                "--disable-component-update",
                "--disable-sync",
                "--enable-precise-memory-info",
                "--js-flags=--expose-gc",
                f"--user-data-dir={self.folder.name}/profile",
                "--remote-debugging-port=0",
                f"--window-size={width},{height}",
                "about:blank",
            ],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        port = self._port()
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/json/list", timeout=10) as reply:
            page = next(t for t in json.load(reply) if t["type"] == "page")
        self.open_things = contextlib.ExitStack()
        self.socket = self.open_things.enter_context(
            connect(page["webSocketDebuggerUrl"], max_size=None)
        )
        self.number = 0
        self.trouble = []
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.call(f"{domain}.enable")
        self.size(width, height, scale)
        if dark:
            self.dark(True)
        self.call(
            "Browser.setDownloadBehavior", behavior="allow", downloadPath=str(self.downloads)
        )

    def _port(self):
        file = Path(self.folder.name) / "profile" / "DevToolsActivePort"
        end = time.monotonic() + 60
        while time.monotonic() < end:
            if file.exists() and file.read_text().strip():
                return int(file.read_text().split()[0])
            time.sleep(0.1)
        raise Failed("the browser did not start")

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.open_things.close()
        self.process.terminate()
        try:
            self.process.wait(10)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        shutil.rmtree(self.folder.name, ignore_errors=True)

    def call(self, method, timeout=120, **parameters):
        """Calls a method of the protocol and returns its result."""
        self.number += 1
        self.socket.send(json.dumps({"id": self.number, "method": method, "params": parameters}))
        end = time.monotonic() + timeout
        while True:
            message = json.loads(self.socket.recv(timeout=max(0.1, end - time.monotonic())))
            if message.get("id") == self.number:
                if "error" in message:
                    raise Failed(f"{method}: {message['error']}")
                return message["result"]
            self._note(message)

    def _note(self, message):
        """Keeps what a reader of the console would see."""
        method, what = message.get("method"), message.get("params", {})
        if method == "Runtime.exceptionThrown":
            details = what["exceptionDetails"]
            self.trouble.append(details.get("exception", {}).get("description", details["text"]))
        elif method == "Runtime.consoleAPICalled" and what["type"] in ("error", "warning"):
            self.trouble.append(str([a.get("value", a.get("description")) for a in what["args"]]))
        elif method == "Log.entryAdded" and what["entry"]["level"] == "error":
            entry = what["entry"]
            self.trouble.append(f"{entry['text']} {entry.get('url', '')}")

    def open(self, address):
        self.call("Page.navigate", url=address)

    def size(self, width, height, scale=1, mobile=False):
        self.call(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=scale,
            mobile=mobile,
        )

    def dark(self, on):
        value = "dark" if on else "light"
        self.call(
            "Emulation.setEmulatedMedia",
            features=[{"name": "prefers-color-scheme", "value": value}],
        )

    def run(self, script, timeout=120):
        """The value of an expression in the page; a promise is awaited."""
        result = self.call(
            "Runtime.evaluate",
            timeout=timeout,
            expression=script,
            awaitPromise=True,
            returnByValue=True,
        )
        if "exceptionDetails" in result:
            details = result["exceptionDetails"]
            raise Failed(details.get("exception", {}).get("description", details["text"]))
        return result["result"].get("value")

    def wait(self, script, seconds=60):
        """Waits until an expression is true in the page."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            value = self.run(script)
            if value:
                return value
            time.sleep(0.05)
        raise Failed(f"not within {seconds} s: {script}")

    def picture(self, file, whole=False):
        data = self.call("Page.captureScreenshot", format="png", captureBeyondViewport=whole)
        Path(file).write_bytes(base64.b64decode(data["data"]))

    def paper(self, file, width=8.27, height=11.69):
        """Prints to PDF; sizes in inches."""
        data = self.call(
            "Page.printToPDF",
            paperWidth=width,
            paperHeight=height,
            printBackground=True,
            preferCSSPageSize=False,
        )
        Path(file).write_bytes(base64.b64decode(data["data"]))

    def press(self, key, code=None, modifiers=0):
        for kind in ("keyDown", "keyUp"):
            self.call(
                "Input.dispatchKeyEvent",
                type=kind,
                key=key,
                code=code or key,
                windowsVirtualKeyCode={"Enter": 13, "Tab": 9}.get(key, 0),
                modifiers=modifiers,
            )

    def click(self, x, y):
        for kind in ("mousePressed", "mouseReleased"):
            self.call(
                "Input.dispatchMouseEvent", type=kind, x=x, y=y, button="left", clickCount=1
            )

    def downloaded(self, name, seconds=30):
        """The content of a file that the page has kept."""
        file = self.downloads / name
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            if file.exists() and not list(self.downloads.glob("*.crdownload")):
                return file.read_bytes()
            time.sleep(0.1)
        raise Failed(f"`{name}` was not kept; there is {[f.name for f in self.downloads.iterdir()]}")
