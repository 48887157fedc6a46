#!/usr/bin/python3
"""The README's walk through the demo, done with mouse and keyboard alone: open it, read what each
way of bringing the supply to the head says, mend two of them, save, and find it again.

  walkthrough.py --program build/release/tests/window/bight_probe --source . --out /tmp/shots
"""

import argparse
import os
import shutil
import sys
import tempfile

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from driver import Failure, Server, Window  # noqa: E402


def copy_of_demo(source, home):
    """The demo in a folder of its own, since it will be edited."""
    folder = os.path.join(home, "shed")
    shutil.copytree(os.path.join(source, "assets", "demo"), folder, dirs_exist_ok=True)
    return os.path.join(folder, "plan.toml")


def read(path):
    with open(path, encoding="utf-8") as file:
        return file.read()


def expect(condition, sentence):
    if not condition:
        raise Failure(sentence)


def verdict_line(window):
    """Numbers of stops, acts and notes that the findings list shows."""
    counts = {}
    for kind in ("stop", "act", "note"):
        box = window.item(f"Findings/show {kind}")["box"]
        for text in window.texts("Findings"):
            t = text["box"]
            if t[0] > box[0] and t[2] < box[2] + 1 and t[1] >= box[1] and t[3] <= box[3] + 1:
                counts[kind] = int(text["text"])
    return counts


def finding_paths(window, word=""):
    return [i["path"] for i in window.items_under("Findings") if "/finding " in i["path"] and word in i["path"]]


def open_the_demo(window, plan):
    window.wait_text("Recent plans")
    expect(window.has("demo plan.toml"), "the start panel offers the demo")
    window.shot("01-start")
    window.click("Open a file")
    window.wait_text("file or folder") if not window.has("path") else None
    window.click("###dialog/path") if window.has("###dialog/path") else window.click("path")
    window.key("ctrl+a")
    window.type(plan)
    window.key("enter")
    window.wait_text("Boat shed router")
    window.rest()
    window.shot("02-demo-open")


def find_the_stop(window):
    window.click("option plug at the head")
    window.rest()
    expect(verdict_line(window)["stop"] == 1, f"one stop is listed, not {verdict_line(window)}")
    (path,) = finding_paths(window, "no length works")
    window.click(path)
    window.rest()
    expect("1200" in field_text(window, "joint X"), "the pose of the stop has X at 1200 mm")
    expect(field_text(window, "joint Z").startswith("-120"), "and Z at -120 mm")
    window.park()
    window.shot("03-the-stop-at-its-pose")


def field_text(window, name):
    box = window.item(name)["box"]
    for text in window.texts():
        t = text["box"]
        if t[0] >= box[0] - 1 and t[1] >= box[1] - 1 and t[3] <= box[3] + 1 and t[0] <= box[2]:
            return text["text"]
    return ""


def drag_the_bracket(window):
    """Along +X to 640 mm, where a length works; looks at the verdict while it drags."""
    window.click("handle wall bracket")
    seen = []
    reach = 60.0
    where = bracket_x(window)
    for _ in range(5):
        arm = window.item("move wall bracket along X")["seen"]
        handle = window.item("handle wall bracket")["seen"]
        along = [(arm[i] + arm[i + 2] - handle[i] - handle[i + 2]) / 2 for i in (0, 1)]
        length = max(1.0, (along[0] ** 2 + along[1] ** 2) ** 0.5)
        window.drag_item("move wall bracket along X", [a / length * reach for a in along],
                         hold=lambda: seen.append(bool(finding_paths(window, "no length works"))))
        now = bracket_x(window)
        expect(now != where, "the drag moves the bracket")
        if 605 <= now <= 680:
            break
        reach *= (640 - now) / (now - where)
        where = now
    expect(seen[-1] is False, f"the verdict turns while the bracket is dragged, stops seen: {seen}, X {now}")
    window.rest()
    expect(not finding_paths(window, "no length works"), "the full check says so, too")
    window.park()
    window.shot("04-bracket-dragged")


def bracket_x(window):
    return float(field_text(window, "keys/at/0/at"))


def mend_by_advice(window):
    window.click("option hung from the rafter")
    window.rest()
    (path,) = finding_paths(window, "too short")
    window.click(path)
    window.rest()
    window.click("Find a remedy")
    window.wait(lambda: window.has("Apply"), "remedies", 60)
    window.settle(3)
    window.park()
    window.shot("05-remedies")
    window.click(sorted({i["path"] for i in window.items_under("Findings") if i["path"].endswith("/Apply")})[0])
    window.rest()
    expect(verdict_line(window).get("act") == 0, f"nothing is left to act on, not {verdict_line(window)}")
    window.park()
    window.shot("06-mended")


def save_and_reopen(window, plan, program, server, out, before):
    window.key("ctrl+s")
    window.wait_text("Saved plan.toml")
    after = read(plan)
    expect(after != before, "the file has the edits")
    comments = [line for line in before.splitlines() if line.lstrip().startswith("#")]
    lost = [line for line in comments if line not in after]
    expect(not lost, f"comments were lost: {lost[:3]}")
    expect(window.close() == 0, "the window closes without complaint")
    again = Window(program, ["view", plan, "--debug-context"], server, out, home=window.home)
    again.rest()
    again.click("option hung from the rafter")
    again.rest()
    expect(verdict_line(again)["act"] == 0, "the mended option is still mended")
    again.park()
    again.shot("07-opened-again")
    return again


def walk(program, source, out, server):
    home = tempfile.mkdtemp(prefix="bight-walk-")
    try:
        plan = copy_of_demo(source, home)
        before = read(plan)
        window = Window(program, ["view", "--debug-context"], server, out, home=home)
        open_the_demo(window, plan)
        find_the_stop(window)
        drag_the_bracket(window)
        window.key("ctrl+z")
        window.rest()
        window.key("ctrl+y")
        window.rest()
        expect(not finding_paths(window, "no length works"), "undo and redo come back to the same")
        mend_by_advice(window)
        window = save_and_reopen(window, plan, program, server, out, before)
        expect(window.close() == 0, "the window closes without complaint")
    finally:
        shutil.rmtree(home, ignore_errors=True)


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--program", required=True)
    parser.add_argument("--source", default=".")
    parser.add_argument("--out", required=True)
    arguments = parser.parse_args()
    server = Server()
    try:
        walk(arguments.program, arguments.source, arguments.out, server)
    finally:
        server.stop()


if __name__ == "__main__":
    main()
