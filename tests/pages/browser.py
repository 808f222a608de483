"""A real browser for tests of pages: Debian's `chromium` without a window, driven through its DevTools protocol.

The protocol runs over two pipes (`--remote-debugging-pipe`: messages of JSON, each ended by a zero byte), so that no
port is open and no library is needed. Mouse, fingers and keys are events of the browser, as a person would make them.
"""

from __future__ import annotations

import base64
import json
import os
import select
import shutil
import subprocess
import time

CHROMIUM = shutil.which("chromium")
PATIENCE = 20.0  # s
FLAGS = (
    "--headless=new", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage", "--hide-scrollbars",
    "--remote-debugging-pipe",
)  # fmt: skip
CTRL, SHIFT = 2, 8
CODES = {"Delete": 46, "Escape": 27, "Tab": 9, "Enter": 13, "ArrowLeft": 37, "ArrowUp": 38, "ArrowRight": 39,
         "ArrowDown": 40}  # fmt: skip


class BrowserFailure(Exception):
    """What the browser said it could not do."""


class Browser:
    """One browser with one page; `messages` are errors and what the security policy refused."""

    def __init__(self, folder) -> None:
        self.folder, self.number, self.rest = folder, 0, b""
        self.messages: list[str] = []
        self.requests: list[str] = []
        self.dialogs: list[str] = []
        self.process, self.reader, self.writer = _started(folder)
        target = self.call("Target.createTarget", {"url": "about:blank"}, page=False)["targetId"]
        attached = self.call("Target.attachToTarget", {"targetId": target, "flatten": True}, page=False)
        self.session = attached["sessionId"]
        for domain in ("Page", "Runtime", "Log", "Network", "Accessibility"):
            self.call(f"{domain}.enable")
        download = {"behavior": "allow", "downloadPath": str(folder)}
        self.call("Browser.setDownloadBehavior", download, page=False)

    def close(self) -> None:
        os.close(self.writer)
        try:
            self.process.wait(10)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        os.close(self.reader)

    # The protocol

    def call(self, method, parameters=None, page=True):
        """Send a command and return its result; events that come meanwhile are kept."""
        number = self._send(method, parameters, page)
        while (answer := self._next()).get("id") != number:
            self._keep(answer)
        if "error" in answer:
            raise BrowserFailure(f"{method}: {answer['error']}")
        return answer["result"]

    def _send(self, method, parameters=None, page=True) -> int:
        self.number += 1
        message = {"id": self.number, "method": method, "params": parameters or {}}
        if page:
            message["sessionId"] = self.session
        os.write(self.writer, json.dumps(message).encode() + b"\0")
        return self.number

    def _next(self):
        end = time.monotonic() + PATIENCE
        while b"\0" not in self.rest:
            if not select.select([self.reader], [], [], max(0.0, end - time.monotonic()))[0]:
                raise BrowserFailure("the browser does not answer")
            piece = os.read(self.reader, 1 << 16)
            if not piece:
                raise BrowserFailure("the browser has ended")
            self.rest += piece
        message, self.rest = self.rest.split(b"\0", 1)
        return json.loads(message)

    def _keep(self, event) -> None:
        match event.get("method"):
            case "Runtime.exceptionThrown":
                self.messages.append(json.dumps(event["params"]["exceptionDetails"]))
            case "Log.entryAdded":
                self.messages.append(event["params"]["entry"]["text"])
            case "Runtime.consoleAPICalled":
                self.messages.append(json.dumps(event["params"]["args"]))
            case "Network.requestWillBeSent":
                self.requests.append(event["params"]["request"]["url"][:200])
            case "Page.javascriptDialogOpening":
                self.dialogs.append(event["params"]["type"])
                self._send("Page.handleJavaScriptDialog", {"accept": True})

    # The page

    def open(self, path, width, height, touch=False) -> None:
        """Show a file in a window of this size, with a mouse or with fingers."""
        screen = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": touch}
        self.call("Emulation.setDeviceMetricsOverride", screen)
        self.call("Emulation.setTouchEmulationEnabled", {"enabled": touch, "maxTouchPoints": 5 if touch else 1})
        self.call("Page.navigate", {"url": path.as_uri()})
        self.wait_for("document.readyState === 'complete' && document.querySelector('#things')?.childElementCount > 0")

    def value(self, expression):
        """Return what an expression of the page is."""
        asked = {"expression": expression, "returnByValue": True, "awaitPromise": True}
        result = self.call("Runtime.evaluate", asked)
        if "exceptionDetails" in result:
            raise BrowserFailure(json.dumps(result["exceptionDetails"])[:500])
        return result["result"].get("value")

    def wait_for(self, expression) -> None:
        end = time.monotonic() + PATIENCE
        while not self.value(expression):
            if time.monotonic() > end:
                raise BrowserFailure(f"never true: {expression}")
            time.sleep(0.02)

    def settle(self) -> None:
        """Wait until what was asked for is drawn."""
        self.value("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done(1))))")

    def text(self, selector) -> str:
        self.settle()
        return self.value(f"document.querySelector({json.dumps(selector)}).innerText")

    def middle_of(self, selector):
        """Where the middle of an element is in the window, scrolled to it."""
        find = f"document.querySelector({json.dumps(selector)})"
        self.settle()
        x, y = self.value(
            f"(() => {{ {find}.scrollIntoView({{block: 'nearest'}}); const b = {find}.getBoundingClientRect();"
            " return [b.left + b.width / 2, b.top + b.height / 2]; })()"
        )
        return x, y

    def screenshot(self, path) -> None:
        self.settle()
        path.write_bytes(base64.b64decode(self.call("Page.captureScreenshot")["data"]))

    # Mouse, fingers, keys

    def mouse(self, kind, at, buttons=0, clicks=0, **more) -> None:
        """kind: mousePressed, mouseMoved, mouseReleased, mouseWheel."""
        button = "left" if buttons or kind == "mouseReleased" else "none"
        event = {"type": kind, "x": at[0], "y": at[1], "button": button, "buttons": buttons, "clickCount": clicks}
        self.call("Input.dispatchMouseEvent", event | more)

    def click(self, at, clicks=1, **more) -> None:
        for count in range(1, clicks + 1):
            self.mouse("mousePressed", at, 1, count, **more)
            self.mouse("mouseReleased", at, 0, count, **more)
        self.settle()

    def press(self, selector) -> None:
        """Click on an element."""
        self.click(self.middle_of(selector))

    def drag(self, start, end, steps=4) -> None:
        self.mouse("mousePressed", start, 1, 1)
        for step in range(1, steps + 1):
            self.mouse("mouseMoved", _between(start, end, step / steps), 1)
        self.mouse("mouseReleased", end, 0, 1)
        self.settle()

    def touch(self, kind, *places) -> None:
        """kind: touchStart, touchMove, touchEnd; each finger's place."""
        points = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(places)]
        self.call("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def swipe(self, starts, ends, steps=4) -> None:
        """Move one finger or more."""
        self.touch("touchStart", *starts)
        for step in range(1, steps + 1):
            self.touch("touchMove", *(_between(a, b, step / steps) for a, b in zip(starts, ends, strict=True)))
        self.touch("touchEnd")
        self.settle()

    def tap(self, at) -> None:
        self.touch("touchStart", at)
        self.touch("touchEnd")
        self.settle()

    def key(self, key, modifiers=0, times=1) -> None:
        """Press a key: a letter, or the name of one such as Delete."""
        code = CODES.get(key, ord(key.upper()[0]))
        event = {"key": key, "windowsVirtualKeyCode": code, "modifiers": modifiers}
        if (len(key) == 1 or key == "Enter") and not modifiers & CTRL:
            event["text"] = "\r" if key == "Enter" else key
        for _ in range(times):
            self.call("Input.dispatchKeyEvent", {"type": "keyDown"} | event)
            self.call("Input.dispatchKeyEvent", {"type": "keyUp"} | event)
        self.settle()

    def type_into(self, selector, text) -> None:
        """Replace what is in a field, and leave it."""
        self.value(f"document.querySelector({json.dumps(selector)}).select()")
        self.call("Input.insertText", {"text": text})
        self.key("Tab")


def _between(start, end, share):
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def _started(folder):
    """The process, and the ends of the two pipes that are ours; the browser has its own at 3 and 4."""
    (their_reader, our_writer), (our_reader, their_writer) = os.pipe(), os.pipe()

    def place_pipes():
        spare = [os.dup(os.dup(os.dup(their_reader))), os.dup(os.dup(os.dup(their_writer)))]
        os.dup2(spare[0], 3)
        os.dup2(spare[1], 4)

    process = subprocess.Popen(
        [CHROMIUM, *FLAGS, f"--user-data-dir={folder / 'profile'}", "about:blank"],
        close_fds=False,
        preexec_fn=place_pipes,  # noqa: PLW1509
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    os.close(their_reader)
    os.close(their_writer)
    return process, our_reader, our_writer
