"""Scenarios of the real window: what a person does less often than the walk through the demo."""

import os
import re
import shutil
import subprocess

from driver import Failure
from text_check import problems
from walkthrough import expect, field_text, read


def check_texts(window, where):
    window.settle(3)
    faults = problems(window.read())
    if faults:
        window.shot("fault-" + where.replace(" ", "-"))
        raise Failure(f"{where}: " + "\n    ".join(faults[:12]))


def edit_something(window):
    """One small edit, wherever the window is."""
    window.click("page Plan")
    if not window.has("element joint.X"):
        window.click("group joint")
    window.click("element joint.X")
    window.fill("keys/speed/0/speed", "9500")
    window.wait_text("edited")


def middle(box):
    return ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)


def lines_in_a_chain_are_rearranged(case):
    window = case.open_plan()
    window.rest()
    window.click("option in the chains")
    window.rest()
    window.click("page Section")
    window.rest()
    before = read(case.plan)
    lines = sorted({i["path"] for i in window.items_under("Section") if "/line in chain " in i["path"]})
    expect(len(lines) >= 4, f"the lines of the chain are there to be dragged: {lines}")
    # The line that is furthest to the left goes into the middle of the one to its right.
    boxes = {path: window.item(path)["box"] for path in lines}
    left, right = sorted(boxes, key=lambda path: boxes[path][0])[0:4:3]
    where = middle(boxes[left])
    window.shot("as-placed")
    by = [b - a for a, b in zip(where, middle(boxes[right]))]
    window.drag_item(left, (0.6 * by[0], 0.6 * by[1] + 4), hold=lambda: window.shot("dragging"))
    window.rest()
    moved = middle(window.item(left)["box"])
    expect(abs(moved[0] - where[0]) > 0.2 * abs(by[0]), f"the line lies elsewhere: {where} -> {moved}")
    window.park()
    window.shot("moved")
    check_texts(window, "section")
    window.key("ctrl+s")
    window.wait_text("Saved plan.toml")
    expect("[[chain.place]]" in read(case.plan) and "[[chain.place]]" not in before, "the place stands in the plan")
    # A divider goes along its direction, undo takes all back to the byte.
    divider = window.item("divider 1")["box"]
    window.drag_item("divider 1", (-14, 0))
    window.rest()
    expect(window.item("divider 1")["box"][0] < divider[0] - 3, "the divider moved to the left")
    for _ in range(2):
        window.key("ctrl+z")
    window.rest()
    window.key("ctrl+s")
    window.wait(lambda: read(case.plan) == before, "the file as it was before")
    expect(window.close() == 0, "ends well")


def options_are_made_and_switched(case):
    window = case.open_plan()
    window.rest()
    window.click("option hung from the rafter")
    window.rest()
    window.key("ctrl+t")
    window.wait(lambda: window.has("Make it"), "the question for a name")
    window.type("rafter, lower hook")
    window.key("enter")
    window.rest()
    expect(window.has("option rafter, lower hook"), "the new option stands in the header")
    window.click("page Plan")
    window.click("handle rafter hook")
    window.rest()
    height = float(field_text(window, "keys/at/2/at"))
    window.fill("keys/at/2/at", str(height - 50))
    window.rest()
    expect(not any("in no leg" in t["text"] for t in window.texts("Findings")), "the line's clipped leg goes along")
    # The other option is as it was; the new one keeps its edit.
    window.click("option hung from the rafter")
    window.rest()
    expect(float(field_text(window, "keys/at/2/at")) == height, "the option it was made from is unchanged")
    window.key("alt+right")
    window.rest()
    while float(field_text(window, "keys/at/2/at")) != height - 50:
        window.key("alt+right")
        window.rest()
    window.click("page Compare")
    window.rest()
    expect(window.has("compare rafter, lower hook"), "it is compared with the others")
    window.park()
    window.shot("compared")
    check_texts(window, "compare")
    window.key("ctrl+s")
    window.wait_text("Saved plan.toml")
    expect('name = "rafter, lower hook"' in read(case.plan), "it stands in the file")
    expect(window.close() == 0, "ends well")


def inches_everywhere(case):
    window = case.open_plan()
    window.rest()
    window.click("option hung from the rafter")
    window.rest()
    window.key("h")
    window.key("f11")
    window.rest()
    faults = []
    for page in ("Plan", "Section", "Lengths", "Compare", "Hooks", "Curves"):
        window.click(f"page {page}")
        window.rest()
        window.park()
        window.shot(page.lower())
        check_texts(window, f"inches, {page}")
        # A length in mm nowhere; what a person or a maker wrote stays as written.
        faults += [f"{page}: {t['text']}" for t in window.texts() if re.search(r"\d\s?mm\b", t["text"].replace("\u00a0", " "))]
    expect(not faults, "lengths in mm: " + "; ".join(sorted(set(faults))[:8]))
    window.fill("joint X", "10")
    expect(field_text(window, "joint X") == "10", "ten inches")
    window.fill("joint X", "254 mm")
    expect(field_text(window, "joint X") == "10", "254 mm are ten inches")
    window.key("f11")
    window.rest()
    expect(field_text(window, "joint X") == "254", f"and 254 mm again, not {field_text(window, 'joint X')}")
    expect(window.close() == 0, "ends well")


def closing_asks_about_unsaved_edits(case):
    window = case.open_plan()
    window.rest()
    before = read(case.plan)
    edit_something(window)

    def ask(how=window.ask_to_close):
        how()
        window.wait(lambda: window.has("Throw them away"), "the question")
        window.settle(3)

    ask()
    window.shot("question")
    check_texts(window, "question")
    window.click("Go back")
    expect(window.alive() and not window.has("Throw them away"), "the window stays")
    # By keyboard, with another dialog open, with the menu open, twice in a row.
    ask(lambda: window.key("ctrl+q"))
    window.key("escape")
    window.key("ctrl+,")
    ask()
    window.key("escape")
    window.click("Menu")
    ask()
    window.ask_to_close()
    window.settle(3)
    expect(window.has("Throw them away"), "asking again does not take the question away")
    window.click("Go back")
    # Keys that were pressed before the wish to close do not answer its question.
    for _ in range(5):
        window._fake(2, window.x.keysym_to_keycode(0xff1b))
        window._fake(3, window.x.keysym_to_keycode(0xff1b))
    ask()
    # A question that was left is forgotten: opening another plan does not end the program.
    window.key("escape")
    other = os.path.join(case.home, "other.toml")
    shutil.copy(case.plan, other)
    window.drop(other)
    window.wait(lambda: window.has("Throw them away"), "the question before another plan is opened")
    window.click("Throw them away")
    window.wait_text("other.toml")
    expect(window.alive(), "the window stays open")
    expect(read(case.plan) == before, "the first plan is as it was")
    window.rest()
    edit_something(window)
    ask()
    window.click_no_wait("Edits are not saved/Save")
    expect(window.process.wait(case.arguments.patience) == 0, "saves and ends well")
    expect("9500" in read(other), "the edit is in the file")


def a_file_that_changed_on_both_sides(case):
    window = case.open_plan()
    window.rest()
    text = read(case.plan)
    edit_something(window)
    there = text.replace('name = "Boat shed router"', 'name = "Shed of the neighbours"')
    with open(case.plan, "w", encoding="utf-8") as file:
        file.write(there)
    window.wait(lambda: window.has("Decide later"), "the question whose text is to stay")
    window.settle(3)
    check_texts(window, "both changed")
    window.click("Decide later")
    window.rest()
    expect(read(case.plan) == there, "nothing is written yet")
    window.key("ctrl+s")
    window.wait(lambda: window.has("The one on the disk"), "the question again")
    window.click("The one on the disk")
    window.wait_text("Shed of the neighbours")
    window.key("ctrl+z")
    window.wait_text("Boat shed router")
    window.key("ctrl+y")
    window.wait_text("Shed of the neighbours")
    edit_something(window)
    with open(case.plan, "w", encoding="utf-8") as file:
        file.write(text + "\n# a late remark\n")
    window.wait(lambda: window.has("Decide later"), "the question")
    window.click("Decide later")
    window.key("ctrl+s")
    window.wait(lambda: window.has("The one here"), "the question again")
    window.click("The one here")
    window.wait_text("Saved plan.toml")
    expect("Shed of the neighbours" in read(case.plan) and "9500" in read(case.plan), "the text here was saved")
    expect(window.close() == 0, "ends well")


def pointing_highlights(case):
    window = case.open_plan()
    window.rest()
    window.click("page Plan")
    window.click("group part")
    window.park()
    window.rest()
    calm = window.image()
    box = window.item("Picture/picture")["box"]
    area = tuple(int(b) for b in (box[0] + 40, box[1] + 60, box[2] - 10, box[3] - 10))
    window.point_at("element part.mast")
    window.settle(6)
    lit = window.image()
    changed = count_changed(calm.crop(area), lit.crop(area))
    window.shot("row-pointed-at")
    expect(changed > 200, f"the mast lights up in the picture, {changed} pixels")
    window.park()
    window.settle(6)
    expect(count_changed(calm.crop(area), window.image().crop(area)) < 20, "and goes dark again")
    # The other way round: a thing in the picture says its name and marks its row.
    found = set()
    for i in range(1, 12):
        for j in range(2, 9):
            window.move(box[0] + (box[2] - box[0]) * i / 12, box[1] + (box[3] - box[1]) * j / 10)
            window.settle(4)
            found |= {t["text"] for t in window.texts() if "Tooltip" in t["window"]}
    window.shot("thing-pointed-at")
    expect(len(found) >= 4, f"things say their names: {sorted(found)}")
    expect(window.close() == 0, "ends well")


def count_changed(a, b):
    from PIL import ImageChops
    difference = ImageChops.difference(a, b).convert("L")
    return sum(difference.histogram()[12:])


def overlap(a, b):
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def names_keep_off_handles(case):
    window = case.open_plan()
    window.rest()
    window.click("option hung from the rafter")
    window.rest()
    window.click("handle rafter hook")
    for corner in ("h", "2", "8"):
        window.key(corner)
        window.rest()
        window.park()
        window.shot("corner-" + corner)
        check_texts(window, "handles")
        grips = [i for i in window.items_under("Picture") if re.match("Picture/(handle|move) ", i["path"])]
        expect(len(grips) > 6, f"handles and arms are there: {[i['path'] for i in grips]}")
        names = [t for t in window.texts("Picture") if len(t["text"]) > 1]
        expect(any(t["text"] == "rafter hook" for t in names), "the chosen hook has its name")
        covered = [(t["text"], i["path"]) for t in names for i in grips if overlap(t["box"], i["box"])]
        expect(not covered, f"names lie on handles: {covered}")
    # In an option that does not use the hook nothing of it is drawn, so nothing can be taken hold of.
    window.click("option in the chains")
    window.rest()
    expect(not window.has("handle rafter hook"), "a hook of another option has no handle")
    expect(window.close() == 0, "ends well")


def picture_of(window):
    box = window.item("Picture/picture")["box"]
    return window.image().crop(tuple(int(b) for b in (box[0], box[1] + 40, box[2], box[3])))


def all_and_what_is_chosen(case):
    window = case.open_plan()
    window.rest()
    window.click("option hung from the rafter")
    window.rest()
    window.click("page Plan")
    window.park()
    window.click("handle rafter hook")
    window.park()
    whole = picture_of(window)

    def differs(what):
        window.rest()
        window.park()
        window.shot(what.replace(" ", "-"))
        return count_changed(whole, picture_of(window)) > 2000

    window.click("element support.rafter hook")
    expect(not differs("listed"), "a thing that is in the picture is chosen without moving the camera")
    window.click("Picture/chosen")
    expect(differs("the chosen thing"), "the chosen thing comes close")
    window.key("f")
    expect(not differs("all"), "F shows all though something is chosen")
    window.key("shift+f")
    expect(differs("the chosen thing again"), "shift and F show what is chosen")
    window.click("Picture/all")
    expect(not differs("all again"), "the button shows all")
    # A page that narrows the picture does not cut the machine off, and back it is as it was.
    window.click("page Compare")
    window.rest()
    window.park()
    window.shot("narrow")
    expect(window.has("handle rafter hook"), "the hook is in the narrow picture")
    window.click("page Plan")
    expect(not differs("wide again"), "the picture is as it was")
    # Escape is for the field, then for the dialog, and only then for what is chosen.
    window.key("f1")
    window.wait(lambda: window.has("move rafter hook along X"), "arms under the dialog")
    window.key("escape")
    window.rest()
    expect(window.has("move rafter hook along X"), "escape closes the dialog alone")
    window.click("joint X")
    window.key("escape")
    expect(window.has("move rafter hook along X"), "escape leaves the field alone")
    window.key("escape")
    window.rest()
    expect(not window.has("move rafter hook along X"), "escape lets go of the hook")
    expect(not window.has("Picture/chosen"), "nothing is chosen")
    expect(window.close() == 0, "ends well")


def letters_of_other_scripts(case):
    text = read(case.plan).replace("Boat shed router", "Фрезер в сарае").replace("rafter hook", "крюк α")
    with open(case.plan, "w", encoding="utf-8") as file:
        file.write(text)
    window = case.open_plan()
    window.rest()
    window.wait_text("Фрезер в сарае")
    window.click("option hung from the rafter")
    window.rest()
    window.park()
    window.shot("cyrillic")
    check_texts(window, "other scripts")
    expect(any("крюк α" in t["text"] for t in window.texts("Picture")), "the hook's name stands in the picture")
    expect(window.close() == 0, "ends well")


def curves_and_layers(case):
    window = case.open_plan()
    window.rest()
    window.click("option hung from the rafter")
    window.rest()
    window.click("page Curves")
    window.rest()
    for title in ("Clearance", "Slack", "Least radius", "Pull"):
        expect(window.has(f"curve {title}"), f"there is a curve of {title}")
    start = next(t["text"] for t in window.texts("Curves") if " of " in t["text"])
    window.click("curve Slack")
    now = next(t["text"] for t in window.texts("Curves") if " of " in t["text"])
    expect(start != now, f"the curve moves the tour: {start}, {now}")
    window.park()
    window.shot("curves")
    check_texts(window, "curves")
    box = window.item("Picture/picture")["box"]
    area = tuple(int(b) for b in (box[0], box[1] + 30, box[2], box[3]))
    before = window.image().crop(area)
    for key, name in (("p", "path"), ("r", "reach"), ("b", "blocked"), ("c", "cut")):
        window.key(key)
        window.rest()
        window.wait(lambda: not window.shows("Working out"), "the map")
        window.park()
        window.settle(4)
        window.shot(name)
        changed = count_changed(before, window.image().crop(area))
        expect(changed > 100, f"{name} changes the picture, {changed} pixels")
        if name == "blocked":
            good = next((t for t in window.texts("Picture") if "Nothing keeps the tip" in t["text"]), None)
            expect(good, "the demo blocks nothing, and that is said")
            red, green, _ = zip(*window.image().crop(tuple(int(b) for b in good["box"])).getdata())
            expect(all(r - g < 30 for r, g in zip(red, green)), "and not in the colour of a warning")
        check_texts(window, name)
        for _ in range(4 if key == "c" else 1):
            window.key(key)
        window.rest()
    expect(window.close() == 0, "ends well")


def with_environment(case, name, environment, program=None):
    old = {key: os.environ.get(key) for key in environment}
    os.environ.update(environment)
    try:
        window = case.open_plan(**({"program": program} if program else {}))
    finally:
        for key, value in old.items():
            os.environ.pop(key) if value is None else os.environ.update({key: value})
    window.rest()
    window.click("option hung from the rafter")
    window.rest()
    window.click("page Section")
    window.rest()
    window.park()
    window.shot(name)
    return window


def graphics_of_an_old_machine(case):
    """OpenGL 3.3 without the functions that newer contexts have."""
    window = with_environment(case, "gl33", {
        "MESA_GL_VERSION_OVERRIDE": "3.3", "MESA_GLSL_VERSION_OVERRIDE": "330",
        "MESA_EXTENSION_OVERRIDE": "-GL_ARB_direct_state_access -GL_ARB_buffer_storage -GL_ARB_clip_control"})
    check_texts(window, "OpenGL 3.3")
    window.key("f8")
    window.rest()
    window.key("c")
    window.rest()
    window.shot("gl33-above-cut")
    window.click("page Compare")
    window.rest()
    window.shot("gl33-compare")
    expect(window.close() == 0, "ends well")


def each_font_may_be_missing(case):
    """With each folder of fonts hidden from the program, and with both."""
    trial = subprocess.run(["unshare", "-rm", "true"], capture_output=True, check=False)
    if trial.returncode != 0:
        print("    not tried: this system hides no folders from a program (unshare)")
        return
    folders = {"inter": "/usr/share/fonts/opentype/inter", "dejavu": "/usr/share/fonts/truetype/dejavu"}
    for hidden in (["inter"], ["dejavu"], ["inter", "dejavu"]):
        program = os.path.join(case.home, "hidden-" + "-".join(hidden))
        mounts = " && ".join(f"mount -t tmpfs none {folders[h]}" for h in hidden if os.path.isdir(folders[h]))
        with open(program, "w", encoding="utf-8") as file:
            file.write(f"#!/bin/sh\nexec unshare -rm sh -c '{mounts or 'true'} && exec \"$0\" \"$@\"' "
                       f"{os.path.abspath(case.arguments.program)} \"$@\"\n")
        os.chmod(program, 0o755)
        window = with_environment(case, "without-" + "-".join(hidden), {}, program)
        check_texts(window, "without " + " and ".join(hidden))
        expect(window.close() == 0, "ends well")

def tab_goes_from_field_to_field(case):
    window = case.open_plan()
    window.rest()
    window.click("option hung from the rafter")
    window.click("page Plan")
    window.click("handle rafter hook")
    window.rest()
    # In the form: what was typed is taken, and the next field has the keyboard.
    window.click("keys/at/0/at")
    window.type("660")
    window.key("tab")
    window.type("440")
    window.key("tab")
    window.key("shift+tab")
    window.type("450")
    window.key("shift+tab")
    window.type("670")
    window.key("enter")
    window.rest()
    window.shot("form")
    typed = [field_text(window, f"keys/at/{i}/at") for i in (0, 1)]
    expect(typed == ["670", "450"], f"each number stands in its own field: {typed}")
    # Of the travel: the joints one after the other.
    window.click("joint X")
    window.type("300")
    window.key("tab")
    window.type("200")
    window.key("tab")
    window.type("-50")
    window.key("enter")
    window.rest()
    typed = [field_text(window, f"joint {j}") for j in "XYZ"]
    expect(typed == ["300", "200", "-50"], f"each joint takes its own number: {typed}")
    expect(window.close() == 0, "ends well")

def dialogs_by_keyboard_alone(case):
    window = case.open("view", "--debug-context")
    window.wait_text("Recent plans")
    # The first button has the focus: Enter presses it; the first field of the new dialog takes letters.
    window.key("enter")
    window.wait(lambda: window.has("Make the plan"), "the questions for a new plan")
    window.settle(3)
    window.key("ctrl+a")
    window.type("Shed mill")
    window.key("tab")
    window.type("900")
    window.key("tab")
    window.shot("new-plan")
    expect(field_text(window, "travel along X") == "900", "what was typed is taken")
    window.key("escape")
    window.wait_text("Recent plans")
    # Down to the demo plans.
    window.key("down")
    window.settle(3)
    window.shot("demo-chosen")
    window.key("enter")
    window.wait_text("Boat shed router")
    window.rest()
    expect(window.close() == 0, "ends well")
    # Enter answers a question by its first button.
    again = case.open_plan()
    again.rest()
    edit_something(again)
    again.key("ctrl+q")
    again.wait_text("edits that are not saved")
    again.settle(3)
    again.shot("question")
    again._fake(2, again.x.keysym_to_keycode(0xff0d))
    again._fake(3, again.x.keysym_to_keycode(0xff0d))
    expect(again.process.wait(case.arguments.patience) == 0, "Enter saves and ends")
    expect("9500" in read(case.plan), "the edit is in the file")

def a_broken_plan_leads_to_its_errors(case):
    broken = os.path.join(case.home, "broken.toml")
    text = read(case.plan)
    with open(broken, "w", encoding="utf-8") as file:
        file.write(text.replace("travel = [0, 1200]", "travel = [1200, 0]"))
    window = case.open("view", broken, "--debug-context")
    window.wait_text("Nothing is shown before they are mended")
    expect(not window.shows("Checking"), "nothing is waited for")
    expect(window.shows("Nothing can move"), "there is a plan, only with errors")
    window.click(next(i["path"] for i in window.items_under("Findings") if "/error Line" in i["path"]))
    window.wait_text("joint X")
    expect(window.has("keys/travel/0/travel"), "the element's form is there")
    window.park()
    window.shot("led-to")
    check_texts(window, "broken plan")
    # No TOML at all: said once, with the line.
    with open(broken, "w", encoding="utf-8") as file:
        file.write(text.replace("travel = [0, 1200]", "travel = [O, 1200]"))
    window.wait(lambda: any(t["text"].startswith("Line") and "not TOML" in t["text"] for t in window.texts("Findings")),
                "the line of the error")
    window.park()
    window.shot("no-toml")
    expect(not any("TOML: this" in t["text"] for t in window.texts()), "said once")
    expect(window.close() == 0, "ends well")


def an_overridden_value_is_marked_and_given_back(case):
    window = case.open_plan()
    window.rest()
    window.click("option hung from the rafter")
    window.rest()
    window.click("page Plan")
    window.click("handle rafter hook")
    window.rest()
    field = window.item("keys/at/0/at")["box"]
    left = min(t["box"][0] for t in window.texts("Plan") if t["text"] == "at")

    def margin():
        window.park()
        window.settle(3)
        return window.image().crop((int(left) - 8, int(field[1]) + 2, int(left) - 1, int(field[3]) - 2))

    before = margin()
    expect(not window.has("keys/at/×"), "the place is required, and the plan's own")
    old = field_text(window, "keys/at/0/at")
    window.fill("keys/at/0/at", "650")
    window.rest()
    expect(count_changed(before, margin()) > 30, "a bar in the margin marks it")
    window.shot("marked")
    window.click("keys/at/×")
    window.rest()
    expect(field_text(window, "keys/at/0/at") == old, "the plan's value is back")
    expect(count_changed(before, margin()) == 0, "and the bar is gone")
    # The buttons of a leg, all within the page.
    window.click("group run")
    window.scroll_to("element run.router from the rafter.leg.2", middle(window.item("group run")["seen"]))
    window.click("element run.router from the rafter.leg.2")
    window.rest()
    window.park()
    window.shot("leg")
    for name in ("Add", "Remove", "Up", "Down", "Hide"):
        button = window.item(f"Plan/{name}")
        expect(button["box"] == button["seen"], f"{name} is whole")
    expect(any(t["text"].startswith("leg 2 of run") for t in window.texts("Plan")), "the heading says what it is")
    expect(any(t["text"] == "leg 2: free" for t in window.texts("Plan")), "the list says which kind of leg")
    check_texts(window, "a leg's form")
    expect(window.close() == 0, "ends well")

def what_follows_a_drag_is_not_out_of_date(case):
    window = case.open_plan()
    window.rest()
    window.click("option plug at the head")
    window.rest()
    window.click("page Plan")
    window.click("handle wall bracket")
    window.settle(3)
    seen = []

    def look():
        seen.append([t["text"] for t in window.texts("Findings")])
        window.shot("dragging")

    window.drag_item("move wall bracket along X", (12, 0), hold=look)
    window.rest()
    expect(any("no length works" in t for t in seen[0]), f"the stop is listed while dragging: {seen[0]}")
    expect("proved" in seen[0], f"it was computed for where the bracket is: {seen[0]}")
    expect(window.close() == 0, "ends well")


BEHAVIOURS = [lines_in_a_chain_are_rearranged, options_are_made_and_switched, inches_everywhere,
              closing_asks_about_unsaved_edits, a_file_that_changed_on_both_sides, pointing_highlights,
              names_keep_off_handles, all_and_what_is_chosen, letters_of_other_scripts, curves_and_layers,
              graphics_of_an_old_machine, each_font_may_be_missing, tab_goes_from_field_to_field,
              dialogs_by_keyboard_alone, a_broken_plan_leads_to_its_errors,
              an_overridden_value_is_marked_and_given_back, what_follows_a_drag_is_not_out_of_date]
