#!/usr/bin/python3
"""Tests of the real window. Each scenario is a function that raises when it finds something else than
it expects; screenshots of every step stay in the folder --out.

  run.py --program build/release/tests/window/bight_probe --source . --out /tmp/shots [scenario ...]
"""

import argparse
import contextlib
import os
import random
import shutil
import sys
import tempfile
import time
import traceback

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import walkthrough  # noqa: E402
from behaviours import BEHAVIOURS, check_texts  # noqa: E402
from driver import Failure, Server, Window  # noqa: E402
from text_check import problems  # noqa: E402
from walkthrough import copy_of_demo, expect, field_text, read, verdict_line  # noqa: E402

PAGES = ["Findings", "Travel", "Plan", "Section", "Lengths", "Compare", "Hooks", "Curves"]
DIALOGS = {"ctrl+o": "Open a plan", "ctrl+b": "Start", "ctrl+n": "New plan", "ctrl+,": "Settings", "f1": "Keys and mouse",
           "ctrl+t": "New option", "insert": "Add to the plan", "ctrl+shift+s": "Save as"}


class Case:
    """What a scenario gets: the program, the display, and a home folder with a copy of the demo."""

    def __init__(self, arguments, server, name):
        self.arguments = arguments
        self.server = server
        self.name = name
        self.home = tempfile.mkdtemp(prefix=f"bight-{name}-")
        self.plan = copy_of_demo(arguments.source, self.home)
        self.windows = []

    def open(self, *words, program=None, **more):
        more.setdefault("home", self.home)
        out = os.path.join(self.arguments.out, self.name)
        window = Window(program or self.arguments.program, words, self.server, out, patience=self.arguments.patience, **more)
        self.windows.append(window)
        return window

    def open_plan(self, **more):
        return self.open("view", self.plan, "--debug-context", **more)

    def clean(self):
        for window in self.windows:
            if window.alive():
                window.kill()
        shutil.rmtree(self.home, ignore_errors=True)


def probe_sees_items_and_texts(case):
    """The linker option --wrap is silent about a misspelt name: ask for one of each."""
    window = case.open_plan()
    window.item("Header/Menu")
    window.wait_text("Findings" if not window.has("Findings/show stop") else "Travel" if window.shows("Travel") else "Menu")
    expect(window.read()["texts"], "texts are seen")
    expect(window.close() == 0, "ends well")


def walk_through(case):
    walkthrough.walk(case.arguments.program, case.arguments.source, os.path.join(case.arguments.out, case.name), case.server)


def travel_by_slider_field_and_keys(case):
    window = case.open_plan()
    window.rest()
    window.key("h")
    expect(field_text(window, "joint X") == "0", f"home has X at 0, not {field_text(window, 'joint X')}")
    window.key("right")
    window.key("shift+right")
    expect(field_text(window, "joint X") == "11", f"10 mm and 1 mm to the right, not {field_text(window, 'joint X')}")
    window.fill("joint Y", "40 cm")
    expect(field_text(window, "joint Y") == "400", "a length may be typed in its own unit")
    scale = window.item("scale Z")["seen"]
    window.drag(((scale[0] + scale[2]) / 2, (scale[1] + scale[3]) / 2), (scale[0] + 8, scale[3] - 4))
    expect(float(field_text(window, "joint Z")) < -100, "the scale moves Z")
    window.key("8")
    expect(field_text(window, "joint X") == "1200" and field_text(window, "joint Y") == "800", "corner 8 is the far one")
    window.key("space")
    window.wait(lambda: any(" of " in t["text"] and not t["text"].startswith("0.0 of") for t in window.texts("Tour")),
                "the tour to run")
    window.key("space")
    window.rest()
    window.shot("tour")
    expect(window.close() == 0, "ends well")


def files_and_recovery(case):
    window = case.open_plan()
    window.rest()
    window.click("option in the chains")
    window.rest()
    # A mesh that is dropped becomes a part.
    mesh = os.path.join(case.arguments.source, "assets", "meshes", "toggle_clamp.obj")
    window.drop(mesh)
    window.wait_text("edited")
    window.shot("mesh-dropped")
    window.key("ctrl+z")
    window.rest()
    # A file that another program writes is read again.
    text = read(case.plan)
    with open(case.plan, "w", encoding="utf-8") as file:
        file.write(text.replace('name = "Boat shed router"', 'name = "Shed of the neighbours"'))
    window.wait_text("Shed of the neighbours")
    # Both changed: the person chooses.
    window.click("option hung from the rafter")
    window.click("group support") if window.has("group support") else None
    window.click("handle rafter hook")
    window.settle(3)
    window.drag_item("move rafter hook along X", (30, 0))
    window.rest()
    with open(case.plan, "w", encoding="utf-8") as file:
        file.write(text)
    window.wait_text("on disk")
    window.key("ctrl+s")
    window.wait_text("Which one is to stay")
    window.shot("both-changed")
    window.click("The one here")
    window.settle(3)
    window.rest()
    edited = [t["text"] for t in window.texts("Header")]
    # A kill loses nothing.
    window.kill()
    again = case.open("view", "--debug-context")
    again.wait_text("ended before these edits were saved")
    again.shot("recovery")
    again.click("Go on with it")
    again.rest()
    expect(again.shows("Shed of the neighbours"), f"the edits are back; before the kill: {edited}")
    again.key("ctrl+s")
    again.rest()
    expect("Shed of the neighbours" in read(case.plan) or again.has("The one here"), "saved, or asked which one is to stay")
    # A plan that is dropped opens.
    again.kill()
    third = case.open("view", "--debug-context")
    third.wait(lambda: third.shows("Recent plans") or third.has("Later"), "the start")
    third.click("Later") if third.has("Later") else third.key("escape")
    third.drop(case.plan)
    third.wait_text("plan.toml")
    third.rest()
    third.kill()


def comes_to_rest(window):
    """Nothing is drawn while nothing changes, without a plan to show as well."""
    window.wait(lambda: window.state.get("idle"), "the window to come to rest")
    frame = window.state.get("frame", 0)
    time.sleep(0.5)
    window.read()
    expect(window.state.get("frame", 0) <= frame + 2, "it draws on while nothing changes")


def broken_and_missing_files(case):
    broken = os.path.join(case.home, "broken.toml")
    with open(broken, "w", encoding="utf-8") as file:
        file.write(read(case.plan).replace("travel = [0, 1200]", "travel = [1200, 0]"))
    window = case.open("view", broken, "--debug-context")
    window.wait(lambda: any("travel" in t["text"] for t in window.texts()), "what is wrong with the travel")
    comes_to_rest(window)
    window.shot("broken")
    check_texts(window, "broken")
    expect(window.close() == 0, "ends well")
    absent = case.open("view", os.path.join(case.home, "absent.toml"), "--debug-context")
    absent.settle(3)
    comes_to_rest(absent)
    expect(any("absent" in t["text"] for t in absent.texts()), "the missing file is named")
    expect(absent.close() == 0, "ends well")


def every_page_and_dialog(window, where, dialogs=True):
    faults = []

    def look(name):
        window.settle(3)
        found = problems(window.read())
        window.shot(f"{where}-{name}".replace(" ", "-").lower())
        faults.extend(f"{where}, {name}: {f}" for f in found)

    for page in PAGES:
        if not window.has(f"page {page}"):
            continue
        window.click(f"page {page}")
        window.rest()
        window.park()
        look(page)
    for keys, name in DIALOGS.items() if dialogs else ():
        window.key(keys)
        window.settle(3)
        look(name)
        window.key("escape")
        window.settle(2)
    return faults


def texts_fit_at_every_size(case):
    faults = []
    for scheme in ("light", "dark"):
        window = case.open_plan(settings=f"scheme={scheme}\n", size=(1360, 860))
        window.rest()
        window.click("option plug at the head")
        window.rest()
        # Colours do not move texts: at night the smallest size is enough, unless time does not matter.
        light = scheme == "light"
        for size in ((1360, 860), (640, 400), (3840, 2160)) if light or case.arguments.long else ((640, 400),):
            window.resize(*size)
            window.rest()
            faults += every_page_and_dialog(window, f"{scheme} {size[0]}x{size[1]}",
                                            dialogs=size[0] < 3000 and (light or case.arguments.long))
        window.resize(1360, 860)
        expect(window.close() == 0, "ends well")
    if faults:
        raise Failure("\n    ".join(sorted(set(faults))[:40]))


def tiny_windows_survive(case):
    window = case.open_plan()
    for size in ((1, 1), (2, 900), (900, 2), (120, 90), (640, 400), (1360, 860)):
        window.handle.configure(x=0, y=0, width=size[0], height=size[1])
        window.x.sync()
        time.sleep(0.1)
        window.settle(1)
        expect(window.alive(), f"survives {size}")
    window.rest()
    expect(window.close() == 0, "ends well")


def small_pixels_double_everything(case):
    server = Server(dpi=192)
    window = None
    try:
        window = Window(case.arguments.program, ["view", case.plan, "--debug-context"], server,
                        os.path.join(case.arguments.out, case.name), home=case.home, size=(2720, 1720), patience=case.arguments.patience)
        window.rest()
        height = [t["box"][3] - t["box"][1] for t in window.texts("Header") if t["text"] == "Menu"][0]
        expect(height > 26, f"text is twice as large, {height} pixels")
        faults = every_page_and_dialog(window, "scale 2", dialogs=False)
        expect(not faults, "\n    ".join(faults[:12]))
        expect(window.close() == 0, "ends well")
    finally:
        if window and window.alive():
            window.kill()
        server.stop()


def storm(case):
    """Random clicks, drags, wheels and keys: no crash, no error of OpenGL (the context reports them),
    no leak (in a sanitizer build)."""
    window = case.open_plan(size=(900, 600))
    random.seed(case.arguments.seed)
    from Xlib import X, XK
    names = ["Tab", "Return", "Escape", "Left", "Right", "Up", "Down", "Page_Up", "Page_Down", "space", "Delete", "Insert",
             "F1", "F2", "F5", "F6", "F7", "F8", "F9", "F10", "F11", "BackSpace"] + list("abcdefghijklmnoprstuvwxyz0123456789")
    modifiers = ["Control_L", "Shift_L", "Alt_L"]
    code = lambda name: window.x.keysym_to_keycode(XK.string_to_keysym(name))  # noqa: E731
    sent = 0
    while sent < case.arguments.storm:
        for _ in range(20):
            sent += 1
            kind = random.random()
            x, y = random.randrange(900), random.randrange(600)
            if kind < 0.55:
                window.move(x, y)
                button = random.choice([1, 1, 1, 1, 2, 3, 4, 5])
                window._fake(X.ButtonPress, button)
                if kind < 0.12:
                    window.move(x + random.randrange(-150, 150), y + random.randrange(-150, 150))
                window._fake(X.ButtonRelease, button)
            else:
                held = [m for m in modifiers if random.random() < 0.12]
                name = random.choice(names)
                # Ctrl+Q ends the program, as it should; the storm has no use for it.
                if "Control_L" in held and name == "q":
                    continue
                for m in held:
                    window._fake(X.KeyPress, code(m))
                window._fake(X.KeyPress, code(name))
                window._fake(X.KeyRelease, code(name))
                for m in reversed(held):
                    window._fake(X.KeyRelease, code(m))
        window.wait(lambda: window.state.get("idle") or time.monotonic() % 7 < 6.5, "the window", case.arguments.patience)
        frame = window.state.get("frame", 0)
        window.wait(lambda: window.state.get("idle") or window.state.get("frame", 0) > frame + 30, "the storm's events",
                    4 * case.arguments.patience)
        if not window.alive():
            break
    expect(window.alive(), f"after {sent} actions the program had ended with {window.process.returncode}\n{window.stderr()}")
    # Each event has a frame of its own: a slow build is still at it, and the wish to close takes its turn behind them.
    # While a tour plays it is never idle.
    with contextlib.suppress(Failure):
        window.wait(lambda: window.state.get("idle") or not window.alive(), "the last of the storm's events",
                    4 * case.arguments.patience)
    for _ in range(4):
        window.key("escape")
    code_at_end = window.close()
    expect(code_at_end == 0, f"ends with {code_at_end}\n{window.stderr()[-3000:]}")


def first_frame_is_quick(case):
    """Not a benchmark: a bound far above what is usual, so that only a grave slip fails."""
    times = []
    for _ in range(3):
        window = case.open_plan(size=None)
        times.append(window.first_frame_s)
        window.close()
    print(f"    first frame after {', '.join(f'{t:.3f}' for t in sorted(times))} s")
    expect(min(times) < 3.0, f"the first frame took {times}")


SCENARIOS = [probe_sees_items_and_texts, first_frame_is_quick, walk_through, travel_by_slider_field_and_keys,
             files_and_recovery, broken_and_missing_files, texts_fit_at_every_size, tiny_windows_survive,
             small_pixels_double_everything, *BEHAVIOURS, storm]


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--program", required=True)
    parser.add_argument("--source", default=".")
    parser.add_argument("--out", required=True)
    parser.add_argument("--storm", type=int, default=400, help="random actions; 10000 for the long one")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--long", action="store_true", help="also what takes minutes")
    parser.add_argument("--patience", type=float, default=30.0, help="seconds to wait for the window")
    parser.add_argument("scenario", nargs="*", help="names; all when none is given")
    arguments = parser.parse_args()
    server = Server()
    failed = 0
    try:
        for scenario in SCENARIOS:
            name = scenario.__name__
            if arguments.scenario and name not in arguments.scenario:
                continue
            case = Case(arguments, server, name)
            start = time.monotonic()
            try:
                scenario(case)
                print(f"ok    {name} ({time.monotonic() - start:.1f} s)", flush=True)
            except Failure as failure:
                failed += 1
                print(f"FAIL  {name}: {failure}", flush=True)
            except Exception:
                failed += 1
                print(f"FAIL  {name}\n{traceback.format_exc()}", flush=True)
            finally:
                for window in case.windows:
                    if window.alive():
                        try:
                            window.shot("at-the-end")
                        except Exception:
                            pass
                case.clean()
    finally:
        server.stop()
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
