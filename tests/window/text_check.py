"""What is wrong with the texts on a window: cut off sideways, lying on each other, or with characters
that the font lacks."""


def _within(box, outer, slack):
    return box[0] >= outer[0] - slack and box[2] <= outer[2] + slack


def _overlap(a, b):
    width = min(a[2], b[2]) - max(a[0], b[0])
    height = min(a[3], b[3]) - max(a[1], b[1])
    return width, height


def _seen(text):
    box, clip = text["box"], text["clip"]
    return [max(box[0], clip[0]), max(box[1], clip[1]), min(box[2], clip[2]), min(box[3], clip[3])]


def problems(state, scale=1.0):
    """Sentences, one a fault. `state` is what the probe wrote."""
    faults = []
    fields = [i["box"] for i in state["items"] if i["typed"]]

    def typed_into(text):
        middle_y = (text["box"][1] + text["box"][3]) / 2
        return any(f[0] <= text["clip"][0] + 2 and text["clip"][2] <= f[2] + 2 and f[1] <= middle_y <= f[3] for f in fields)

    shown = []
    for text in state["texts"]:
        if not text["text"].strip():
            continue
        if text["missing"]:
            faults.append(f"{text['window']}: a character of {text['text']!r} is not in the font")
        seen = _seen(text)
        if seen[2] <= seen[0] or seen[3] <= seen[1]:
            # Wholly out of sight: scrolled away, unless it is beside the window's width.
            box, clip = text["box"], text["clip"]
            beside = box[1] < clip[3] and box[3] > clip[1] and clip[2] > clip[0]
            if beside and not typed_into(text):
                faults.append(f"{text['window']}: {text['text']!r} lies beside what is seen")
            continue
        if not _within(text["box"], text["clip"], 1.5 * scale) and not typed_into(text):
            faults.append(f"{text['window']}: {text['text']!r} is cut off sideways, box {text['box']}, clip {text['clip']}")
        size = state["size"]
        if text["box"][0] < -1 or text["box"][2] > size[0] + 1:
            faults.append(f"{text['window']}: {text['text']!r} reaches out of the window")
        shown.append((text, seen))
    for i, (a, box_a) in enumerate(shown):
        for b, box_b in shown[i + 1:]:
            if a["window"] != b["window"]:
                continue
            width, height = _overlap(box_a, box_b)
            # Lines of text may touch; letters lie on each other from a third of a line on.
            line = min(box_a[3] - box_a[1], box_b[3] - box_b[1])
            if width > 2.0 * scale and height > 0.34 * line:
                if a["text"] == b["text"] and a["box"] == b["box"]:
                    continue
                faults.append(f"{a['window']}: {a['text']!r} and {b['text']!r} lie on each other")
    return faults
