#!/usr/bin/python3
"""Makes the pictures of docs/images from the real window under a display of its own.

  docs/make_images.py --program build/release/tests/window/bight_probe
"""

import argparse
import os
import shutil
import sys
import tempfile

SOURCE = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
sys.path.insert(0, os.path.join(SOURCE, "tests", "window"))
from driver import Server, Window  # noqa: E402

SIZE = (1440, 900)


def choose_finding(window, option, words):
    window.click(f"option {option}")
    window.rest()
    (path,) = [i["path"] for i in window.items_under("Findings") if "/finding " in i["path"] and words in i["path"]][:1]
    window.click(path)
    window.rest()
    window.park()


def page(window, name):
    window.click(f"page {name}")
    window.rest()
    window.park()


def picture(window, name):
    window.settle(4)
    print(window.shot(name))


def make(window):
    choose_finding(window, "plug at the head", "no length works")
    picture(window, "finding")
    page(window, "Section")
    picture(window, "chain-section")
    page(window, "Compare")
    picture(window, "compare")
    page(window, "Lengths")
    picture(window, "lengths")
    choose_finding(window, "hung from the rafter", "too short")
    page(window, "Plan")
    strip = [i for i in window.items_under("Tour") if "curve Slack" in i["path"]]
    if strip:
        left, top, right, bottom = strip[0]["seen"]
        window.drag(((left + right) / 2, (top + bottom) / 2), (left + 0.7 * (right - left), (top + bottom) / 2))
        window.park()
    picture(window, "tour-strip")
    window.key("8")
    page(window, "Hooks")
    window.key("f")
    picture(window, "hook-map")
    page(window, "Plan")
    window.key("f10")
    choose_finding(window, "plug at the head", "no length works")
    picture(window, "finding-night")


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--program", required=True)
    parser.add_argument("--out", default=os.path.join(SOURCE, "docs", "images"))
    arguments = parser.parse_args()
    server = Server()
    home = tempfile.mkdtemp(prefix="bight-images-")
    try:
        # Demo paths show in the pictures, so they are short.
        plan = os.path.join(home, "plan.toml")
        shutil.copytree(os.path.join(SOURCE, "assets", "demo"), home, dirs_exist_ok=True)
        window = Window(arguments.program, ["view", plan], server, arguments.out, home=home, size=SIZE)
        window.rest()
        make(window)
        window.close()
    finally:
        server.stop()
        shutil.rmtree(home, ignore_errors=True)


if __name__ == "__main__":
    main()
