"""Drives the real window from outside: a display of its own, real X events, and what the probe says
about items and texts. Rules: an item is found by its path or the unique end of it; the pointer is on
it before it is pressed; every action waits for the window to come to rest. No sleeps but the polling
of those waits."""

import contextlib
import json
import os
import shutil
import subprocess
import tempfile
import time

from PIL import Image
from Xlib import X, XK, Xatom, display as xdisplay
from Xlib.ext import xtest
from Xlib.protocol import event as xevent

KEYS = {
    "ctrl": "Control_L", "shift": "Shift_L", "alt": "Alt_L", "enter": "Return", "escape": "Escape",
    "tab": "Tab", "space": "space", "left": "Left", "right": "Right", "up": "Up", "down": "Down",
    "pageup": "Page_Up", "pagedown": "Page_Down", "delete": "Delete", "insert": "Insert", "home": "Home",
    "end": "End", "backspace": "BackSpace", ",": "comma", "[": "bracketleft", "]": "bracketright",
}


class Failure(Exception):
    """A test found something else than it expects."""


class Server:
    """An X server for one session."""

    def __init__(self, width=3840, height=2160, dpi=None):
        read, write = os.pipe()
        self.process = subprocess.Popen(
            ["Xvfb", "-displayfd", str(write), "-screen", "0", f"{width}x{height}x24", "-noreset", "-nolisten", "tcp"],
            pass_fds=[write], stderr=subprocess.DEVNULL, stdout=subprocess.DEVNULL)
        os.close(write)
        with os.fdopen(read) as numbers:
            self.name = ":" + numbers.readline().strip()
        if self.name == ":":
            raise Failure("Xvfb did not start")
        if dpi:
            subprocess.run(["xrdb", "-nocpp", "-merge"], input=f"Xft.dpi: {dpi}\n".encode(),
                           env=dict(os.environ, DISPLAY=self.name), check=True)

    def stop(self):
        self.process.terminate()
        self.process.wait()


class Window:
    """The program under test, with folders of its own for settings and recovery."""

    def __init__(self, program, arguments, server, out, home=None, size=(1360, 860), settings=None, patience=30.0):
        self.server = server
        self.out = out
        self.patience = patience
        self.own_home = home is None
        self.home = home or tempfile.mkdtemp(prefix="bight-window-")
        self.probe_file = os.path.join(self.home, f"probe-{os.getpid()}-{id(self)}.json")
        os.makedirs(out, exist_ok=True)
        config = os.path.join(self.home, "config", "bight")
        if settings is not None:
            os.makedirs(config, exist_ok=True)
            with open(os.path.join(config, "settings"), "w", encoding="utf-8") as file:
                file.write(settings)
        environment = dict(os.environ, DISPLAY=server.name, HOME=self.home, LC_ALL="C.UTF-8", LIBGL_ALWAYS_SOFTWARE="1",
                           GALLIUM_DRIVER="llvmpipe", BIGHT_PROBE=self.probe_file,
                           XDG_CONFIG_HOME=os.path.join(self.home, "config"),
                           XDG_STATE_HOME=os.path.join(self.home, "state"))
        environment.pop("WAYLAND_DISPLAY", None)
        self.errors = open(os.path.join(self.home, "stderr.txt"), "ab")
        self.started = time.monotonic()
        self.process = subprocess.Popen([program] + [str(a) for a in arguments], env=environment, stderr=self.errors)
        self.x = xdisplay.Display(server.name)
        self.screen = self.x.screen()
        self.pointer = (0, 0)
        self.state = {}
        self.shots = 0
        self.wait(lambda: self.state.get("frame", 0) > 0, "a first frame")
        self.first_frame_s = time.monotonic() - self.started
        self.handle = self._find_window()
        if size:
            self.resize(*size)
        self.settle()

    # --- the window and its state ---------------------------------------------------------------

    def _find_window(self):
        end = time.monotonic() + self.patience
        while time.monotonic() < end:
            stack = [self.screen.root]
            while stack:
                window = stack.pop()
                with contextlib.suppress(Exception):
                    if window.get_wm_class() and window.get_wm_class()[1] == "bight":
                        return window
                    stack += window.query_tree().children
            time.sleep(0.02)
        raise Failure("the window did not come up")

    def alive(self):
        return self.process.poll() is None

    def read(self):
        with contextlib.suppress(FileNotFoundError, json.JSONDecodeError):
            with open(self.probe_file, encoding="utf-8") as file:
                self.state = json.load(file)
            # Where a text is broken into lines is no matter of what it says.
            for text in self.state.get("texts", []):
                text["text"] = text["text"].replace("\n", " ")
        return self.state

    def wait(self, condition, what, patience=None):
        end = time.monotonic() + (patience or self.patience)
        while True:
            self.read()
            if condition():
                return
            if not self.alive():
                raise Failure(f"the program ended with {self.process.returncode} while waiting for {what}\n{self.stderr()}")
            if time.monotonic() > end:
                raise Failure(f"waited in vain for {what}")
            time.sleep(0.01)

    def settle(self, frames=2):
        """Until the window waits for events again. Every event makes frames; what it says of waiting
        may be older than the event, so a frame has to come first, unless none comes at all. A window
        that plays the tour never waits: some frames are enough then."""
        frame = self.read().get("frame", 0)
        start = time.monotonic()

        def rests():
            drawn = self.state.get("frame", 0) - frame
            if self.state.get("idle"):
                return drawn > 0 or time.monotonic() - start > self.patience / 60
            return drawn >= 20 * frames
        self.wait(rests, "the window to rest")

    def rest(self, patience=None):
        """Until nothing is drawn any more: checks have ended, too."""
        self.settle(3)
        self.wait(lambda: self.state.get("idle") and not self.shows("checking ") and not self.shows("Looking for"),
                  "the checks to end", patience or 3 * self.patience)

    def stderr(self):
        with open(os.path.join(self.home, "stderr.txt"), encoding="utf-8", errors="replace") as file:
            return file.read()

    def resize(self, width, height):
        self.handle.configure(x=0, y=0, width=width, height=height)
        self.x.sync()
        self.wait(lambda: self.state.get("size") == [width, height], f"the size {width} x {height}")
        self.settle()

    # --- finding --------------------------------------------------------------------------------

    def items(self, path):
        def fits(item):
            return item["path"] == path or item["path"].endswith("/" + path)
        return [item for item in self.read().get("items", []) if fits(item)]

    def items_under(self, window):
        return [item for item in self.read().get("items", []) if item["path"].startswith(window + "/")]

    def has(self, path):
        return bool(self.items(path))

    def item(self, path):
        self.wait(lambda: self.items(path), f"the item {path!r}; there are {self.some_paths(path)}")
        found = self.items(path)
        different = {item["path"] for item in found}
        if len(different) > 1:
            raise Failure(f"{path!r} is not unique: {sorted(different)}")
        return found[-1]

    def some_paths(self, path):
        word = path.split("/")[-1].split(" ")[0].lower()
        return sorted({i["path"] for i in self.state.get("items", []) if word in i["path"].lower()})[:30]

    def texts(self, window=None):
        return [t for t in self.read().get("texts", []) if window is None or t["window"].startswith(window)]

    def shows(self, text):
        return any(text in t["text"] for t in self.state.get("texts", []))

    def wait_text(self, text, patience=None):
        self.wait(lambda: self.shows(text), f"the text {text!r}", patience)

    # --- acting ---------------------------------------------------------------------------------

    def _fake(self, kind, detail=0, x=0, y=0):
        xtest.fake_input(self.x, kind, detail, x=int(x), y=int(y))
        self.x.sync()

    def move(self, x, y):
        self.pointer = (x, y)
        self._fake(X.MotionNotify, 0, x, y)

    def park(self):
        """Takes the pointer out of the way, so that nothing is hovered."""
        size = self.state["size"]
        self.move(min(size[0] + 40, self.screen.width_in_pixels - 1), size[1] - 2 if size[0] < self.screen.width_in_pixels else 1)
        self.settle(3)

    def point_at(self, path):
        """Moves the pointer onto an item; aims again when the item moved meanwhile."""
        end = time.monotonic() + self.patience
        while True:
            item = self.item(path)
            if item["off"]:
                raise Failure(f"{path!r} cannot be used now")
            left, top, right, bottom = item["seen"]
            if right - left < 2 or bottom - top < 2:
                raise Failure(f"{path!r} is out of sight: box {item['box']}, seen {item['seen']}")
            self.move((left + right) / 2, (top + bottom) / 2)
            with contextlib.suppress(Failure):
                self.wait(lambda: self.state.get("hovered") == item["path"], "the pointer to be on it", 1.0)
                return item
            if not self.alive() or time.monotonic() > end:
                raise Failure(f"the pointer does not come onto {item['path']!r}, it is on {self.state.get('hovered')!r}")

    def click(self, path, button=1, times=1):
        self.point_at(path)
        for _ in range(times):
            self._fake(X.ButtonPress, button)
            self._fake(X.ButtonRelease, button)
        self.settle(3)

    def wheel(self, steps):
        for _ in range(abs(steps)):
            self._fake(X.ButtonPress, 4 if steps > 0 else 5)
            self._fake(X.ButtonRelease, 4 if steps > 0 else 5)
        self.settle(3)

    def scroll_to(self, path, inside):
        """Turns the wheel over an item until another one is in sight."""
        for _ in range(60):
            found = self.items(path)
            if found and found[-1]["seen"][3] - found[-1]["seen"][1] > 6:
                return
            self.move(*inside)
            self.wheel(-2)
        raise Failure(f"{path!r} did not come into sight")

    def drag(self, start, end, steps=8, button=1, hold=None):
        self.move(*start)
        self.settle()
        self._fake(X.ButtonPress, button)
        self.settle()
        for i in range(1, steps + 1):
            t = i / steps
            self.move(start[0] + t * (end[0] - start[0]), start[1] + t * (end[1] - start[1]))
            self.settle(1)
        self.settle()
        if hold:
            hold()
        self._fake(X.ButtonRelease, button)
        self.settle(3)

    def drag_item(self, path, by, steps=8, hold=None):
        item = self.point_at(path)
        left, top, right, bottom = item["seen"]
        middle = ((left + right) / 2, (top + bottom) / 2)
        self.drag(middle, (middle[0] + by[0], middle[1] + by[1]), steps, hold=hold)

    def _keycode(self, symbol):
        code = self.x.keysym_to_keycode(symbol)
        if code == 0:
            raise Failure(f"the keyboard has no key for {symbol}")
        return code, self.x.keycode_to_keysym(code, 0) != symbol

    def key(self, combination):
        def keysym(name):
            name = name.lower()
            return XK.string_to_keysym(KEYS.get(name, name.upper() if len(name) > 1 else name))
        codes = [self.x.keysym_to_keycode(keysym(name)) for name in combination.split("+")]
        if 0 in codes:
            raise Failure(f"there are no such keys: {combination}")
        for code in codes:
            self._fake(X.KeyPress, code)
        for code in reversed(codes):
            self._fake(X.KeyRelease, code)
        self.settle(3)

    def type(self, text):
        shift = self.x.keysym_to_keycode(XK.string_to_keysym("Shift_L"))
        for letter in text:
            code, shifted = self._keycode(ord(letter))
            if shifted:
                self._fake(X.KeyPress, shift)
            self._fake(X.KeyPress, code)
            self._fake(X.KeyRelease, code)
            if shifted:
                self._fake(X.KeyRelease, shift)
        self.settle(3)

    def fill(self, path, text):
        """Replaces what stands in a field."""
        self.click(path)
        self.key("ctrl+a")
        self.type(text)
        self.key("enter")

    def ask_to_close(self):
        """As a window manager does it."""
        atom = self.x.intern_atom
        message = xevent.ClientMessage(window=self.handle, client_type=atom("WM_PROTOCOLS"),
                                       data=(32, [atom("WM_DELETE_WINDOW"), X.CurrentTime, 0, 0, 0]))
        self.handle.send_event(message)
        self.x.sync()

    def drop(self, path):
        """A file dropped on the window by another program (XDND, version 5)."""
        atom = self.x.intern_atom
        source = self.screen.root.create_window(0, 0, 1, 1, 0, self.screen.root_depth)
        selection = atom("XdndSelection")
        source.set_selection_owner(selection, X.CurrentTime)
        uri_list = atom("text/uri-list")

        def send(kind, data):
            self.handle.send_event(xevent.ClientMessage(window=self.handle, client_type=atom(kind), data=(32, data)))
            self.x.sync()

        middle = [s // 2 for s in self.state["size"]]
        send("XdndEnter", [source.id, 5 << 24, uri_list, 0, 0])
        send("XdndPosition", [source.id, 0, middle[0] << 16 | middle[1], X.CurrentTime, atom("XdndActionCopy")])
        end = time.monotonic() + self.patience
        while time.monotonic() < end:
            if not self.x.pending_events():
                time.sleep(0.01)
                continue
            event = self.x.next_event()
            if event.type == X.ClientMessage and event.client_type == atom("XdndStatus"):
                send("XdndDrop", [source.id, 0, X.CurrentTime, 0, 0])
            elif event.type == X.SelectionRequest:
                uri = "file://" + os.path.abspath(path) + "\r\n"
                event.requestor.change_property(event.property, uri_list, 8, uri.encode())
                event.requestor.send_event(xevent.SelectionNotify(
                    time=event.time, requestor=event.requestor, selection=event.selection, target=event.target,
                    property=event.property))
                self.x.sync()
            elif event.type == X.ClientMessage and event.client_type == atom("XdndFinished"):
                source.destroy()
                self.settle(3)
                return
        raise Failure("the window took no drop")

    # --- looking --------------------------------------------------------------------------------

    def image(self):
        size = self.handle.get_geometry()
        raw = self.handle.get_image(0, 0, size.width, size.height, X.ZPixmap, 0xffffffff)
        return Image.frombytes("RGB", (size.width, size.height), raw.data, "raw", "BGRX")

    def shot(self, name):
        self.shots += 1
        path = os.path.join(self.out, f"{name}.png")
        self.image().save(path)
        return path

    def close(self):
        """Asks the window to close and returns what the program ended with."""
        for _ in range(4):
            if not self.alive():
                break
            self.ask_to_close()
            with contextlib.suppress(Failure):
                self.wait(lambda: not self.alive() or self.has("Throw them away"), "the end", 10)
                if self.alive():
                    self.settle()
                    self.click_no_wait("Throw them away")
                    self.wait(lambda: not self.alive(), "the end", 10)
        try:
            code = self.process.wait(self.patience)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
            raise Failure("the program did not end") from None
        finally:
            self._release()
        return code

    def click_no_wait(self, path):
        self.point_at(path)
        self._fake(X.ButtonPress, 1)
        self._fake(X.ButtonRelease, 1)

    def kill(self):
        self.process.kill()
        self.process.wait()
        self._release()

    def _release(self):
        self.errors.close()
        with contextlib.suppress(Exception):
            self.x.close()
        if self.own_home:
            shutil.rmtree(self.home, ignore_errors=True)
