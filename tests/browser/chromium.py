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
from pathlib import Path

from websockets.sync.client import connect

PROGRAM = shutil.which("chromium") or shutil.which("chromium-browser")


class Failed(Exception):
    """The page threw, or something awaited did not happen."""


class Line:
    """A line to the browser or to one of its pages; `note` hears what it says unasked."""

    def __init__(self, address, note=lambda message: None):
        self.open_things = contextlib.ExitStack()
        self.socket = self.open_things.enter_context(connect(address, max_size=None))
        self.note = note
        self.number = 0

    def close(self):
        self.open_things.close()

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
            self.note(message)


class Browser:
    """The browser's process, one for all pages of a test process: starting it takes as long as most tests."""

    def __init__(self):
        self.folder = tempfile.TemporaryDirectory(prefix="hoopset-browser-")
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
                "about:blank",
            ],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        self.address, path = self._door()
        self.door = Line(f"ws://{self.address}{path}")

    def _door(self):
        """Address of its protocol, and the path to the browser as a whole."""
        file = Path(self.folder.name) / "profile" / "DevToolsActivePort"
        end = time.monotonic() + 60
        while time.monotonic() < end:
            if file.exists() and len(lines := file.read_text().split()) == 2:
                return f"127.0.0.1:{lines[0]}", lines[1]
            time.sleep(0.05)
        raise Failed("the browser did not start")

    def close(self):
        self.door.close()
        self.process.terminate()
        try:
            self.process.wait(10)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        shutil.rmtree(self.folder.name, ignore_errors=True)


class Chromium:
    """A page that shares nothing with others, as in a window of its own. Use as a context manager."""

    #: The process, started by the first page.
    shared = None

    def __init__(self, width=1400, height=1000, scale=1, dark=False):
        Chromium.shared = Chromium.shared or Browser()
        browser = Chromium.shared
        self.downloads = Path(tempfile.mkdtemp(dir=browser.folder.name))
        self.context = browser.door.call("Target.createBrowserContext")["browserContextId"]
        browser.door.call(
            "Browser.setDownloadBehavior",
            behavior="allow",
            downloadPath=str(self.downloads),
            browserContextId=self.context,
        )
        target = browser.door.call(
            "Target.createTarget",
            url="about:blank",
            browserContextId=self.context,
            width=width,
            height=height,
        )
        self.trouble = []
        self.line = Line(f"ws://{browser.address}/devtools/page/{target['targetId']}", self._note)
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.call(f"{domain}.enable")
        self.size(width, height, scale)
        if dark:
            self.dark(True)

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.line.close()
        self.shared.door.call("Target.disposeBrowserContext", browserContextId=self.context)

    @classmethod
    def end(cls):
        """Ends the process, once no page is wanted any more."""
        if cls.shared:
            cls.shared.close()
            cls.shared = None

    def call(self, method, timeout=120, **parameters):
        return self.line.call(method, timeout, **parameters)

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
