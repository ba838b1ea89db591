#!/usr/bin/env python3
"""Measures the drawings that make.sh made: `check.py FOLDER [us]`. Only Python is needed.

In every drawing, those within pages too: no text is cut off by the edge, none covers
another, none is too small or too pale, no line is faint, nothing reads "-0" or "NaN"; the drawing has a
title and a description; no line goes through a text; in a template no text lies over a line to
cut by; a film has as many moments as it says, each with a time of its own and its caption under
it; in those made in US units no number is metric but in templates, which are full size."""
import re
import sys
import xml.etree.ElementTree as xml
from itertools import combinations
from pathlib import Path

# Advance widths of ASCII from the blank on, 1/1000 em, of a wide sans serif (DejaVu Sans,
# measured): what reads right in it reads right in narrower ones.
WIDTHS = [
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, 636, 636, 636, 636,
    636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632, 575, 775,
    752, 295, 295, 656, 557, 863, 748, 787, 603, 787, 695, 635, 611, 732, 684, 989, 685, 611, 685, 390,
    337, 390, 838, 500, 500, 613, 635, 550, 635, 615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 612,
    635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838]
OTHER_WIDTH = 700
# Of a text's height: what small letters reach over its line, and what hangs below.
OVER, UNDER = 0.72, 0.2
# Boxes may touch by so much of the smaller text's height.
TOUCH = 0.12
# Least height of a text, in a drawing shown this wide (the report's column, px), px.
SHOWN_WIDE, LEAST_HIGH = 1040, 7.5
WIDEST = 2000
# WCAG 2.2, success criterion 1.4.3: text of normal size.
LEAST_CONTRAST = 4.5
# The same, 1.4.11: lines that carry meaning. Grids do not, and what is flat of an edge is named
# beside its broad line.
LEAST_LINE_CONTRAST, LESSER_LINES = 3.0, ("none", "white", "#b8b8b8", "#e69f00")


class Text:
    def __init__(self, element):
        self.words = "".join(element.itertext())
        self.high = float(element.get("font-size") or 14)
        self.fill = element.get("fill", "black")
        wide = sum(WIDTHS[ord(c) - 32] if 32 <= ord(c) < 127 else OTHER_WIDTH for c in self.words)
        wide *= self.high / 1000
        x, y = float(element.get("x")), float(element.get("y"))
        left = x - {"middle": wide / 2, "end": wide}.get(element.get("text-anchor"), 0)
        self.box = left, y - OVER * self.high, left + wide, y + UNDER * self.high

    def covers(self, other):
        room = TOUCH * min(self.high, other.high)
        a, b = self.box, other.box
        return (min(a[2], b[2]) - max(a[0], b[0]) > room) and (min(a[3], b[3]) - max(a[1], b[1]) > room)

    def __repr__(self):
        return f'"{self.words}"'


def contrast(colour):
    """That of a colour on white, by WCAG's relative luminance."""
    colour = {"black": "#000000", "white": "#ffffff"}.get(colour, colour).lstrip("#")
    colour = "".join(c * 2 for c in colour) if len(colour) == 3 else colour
    parts = [int(colour[k:k + 2], 16) / 255 for k in (0, 2, 4)]
    parts = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 1.05 / (0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2] + 0.05)


def crosses(box, a, b):
    """Whether a line meets a box (Liang and Barsky's clipping)."""
    low, high = 0.0, 1.0
    for k in (0, 1):
        d = b[k] - a[k]
        for step, room in ((-d, a[k] - box[k]), (d, box[k + 2] - a[k])):
            if step == 0:
                if room < 0:
                    return False
            elif step < 0:
                low = max(low, room / step)
            else:
                high = min(high, room / step)
    return low < high


# A metric unit behind a number, or as an axis or a row of bare numbers has it.
METRIC = re.compile(r"(?<=[\d…] )(mm|cm|m|kg|g|L|mL|J|N|N m|m²|m/s|kg/m³)\b|, (mm|m|kg|m²|N m|kg·m)$|[Mm]illimet|1 cm")


def faults(name, svg, us):
    tree = xml.fromstring(svg)
    tag = "{http://www.w3.org/2000/svg}"
    left, top, wide, high = map(float, tree.get("viewBox").split())
    texts = [Text(t) for t in tree.iter(tag + "text")]
    for which in ("title", "desc"):
        if not (tree.findtext(tag + which) or "").strip():
            yield f"no {which}"
    for text in texts:
        a = text.box
        if a[0] < left or a[1] < top or a[2] > left + wide or a[3] > top + high:
            yield f"cut off by the edge: {text}"
        if re.search(r"(?<![\w.])-0(\.0+)?(?![.\d])|NaN|inf\b", text.words):
            yield f"no number to show: {text}"
        if contrast(text.fill) < LEAST_CONTRAST:
            yield f"pale, {text.fill}: {text}"
    for a, b in combinations(texts, 2):
        if a.covers(b):
            yield f"over each other: {a}, {b}"
    for circle in tree.iter(tag + "circle"):
        x, y, radius = (float(circle.get(key)) for key in ("cx", "cy", "r"))
        if min(x - left, left + wide - x, y - top, top + high - y) < radius:
            yield f"circle cut off by the edge at {x:.0f}, {y:.0f}"
    for stroke in {e.get("stroke", "none") for e in tree.iter()} - set(LESSER_LINES):
        if contrast(stroke) < LEAST_LINE_CONTRAST:
            yield f"faint lines, {stroke}"
    is_template = (tree.get("width") or "").endswith("mm")
    if is_template:
        for line in tree.iter(tag + "polygon"):
            yield from over_cut(line, texts, True)
        for line in tree.iter(tag + "polyline"):
            yield from over_cut(line, texts, False)
        return
    for text in texts if us else []:
        if METRIC.search(text.words):
            yield f"metric: {text}"
    if wide > WIDEST or high > 3 * WIDEST or min(wide, high) < 150:
        yield f"{wide:.0f} by {high:.0f} large"
    small = [t for t in texts if t.high * min(1, SHOWN_WIDE / wide) < LEAST_HIGH]
    if small:
        yield f"{small[0].high} high in {wide:.0f}: {small[0]} and {len(small) - 1} more"
    title = tree.findtext(tag + "title") or ""
    yield from struck_through(tree, texts, tag)
    if "where a hole may go" in title and "heights drawn" not in " ".join(t.words for t in texts):
        yield "does not say that heights are drawn larger than lengths"
    if title.startswith("Swamping"):
        yield from far_captions(tree, texts, tag)
        times = [m[1] for t in texts if (m := re.match(r"([\d.]+ (?:s|min|h))\b", t.words))]
        said = re.search(r"(one|two|three|four|five|six) moment", " ".join(t.words for t in texts))
        number = said and "zero one two three four five six".split().index(said[1])
        if len(set(times)) != len(times) or number != len(times):
            yield f"says {said and said[0]}, shows {times}"


def struck_through(tree, texts, tag):
    """Lines and outlines over a text that has no white plate between, nor a white rim."""
    plates, lines, rimmed = [], [], set()
    for group in tree.iter(tag + "g"):
        if group.get("stroke") == "white":
            rimmed.update("".join(t.itertext()) for t in group.iter(tag + "text"))
    for element in tree.iter():
        if element.tag == tag + "rect" and element.get("fill") == "white" and element.get("width")[-1] != "%":
            x, y, wide, high = (float(element.get(key, 0)) for key in ("x", "y", "width", "height"))
            plates.append((len(lines), (x, y, x + wide, y + high)))
        elif element.tag == tag + "circle" and element.get("fill") == "white":
            x, y, r = (float(element.get(key)) for key in ("cx", "cy", "r"))
            plates.append((len(lines), (x - r, y - r, x + r, y + r)))
        elif element.get("stroke") in (None, "none", "white", "#b8b8b8"):
            continue
        elif element.tag == tag + "line":
            lines.append([tuple(float(element.get(k)) for k in pair) for pair in (("x1", "y1"), ("x2", "y2"))])
        elif element.tag == tag + "polyline" and not element.get("stroke-dasharray"):
            lines.append([tuple(map(float, p.split(","))) for p in element.get("points").split()])
    for text in texts:
        if text.words in rimmed or not text.words.strip():
            continue
        left, top, right, low = text.box
        # A letter's hanging part and the room that the widest font takes may be met.
        box = left + 0.1 * (right - left), top + 2, right - 0.1 * (right - left), low - 0.25 * text.high
        middle = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
        behind = [n for n, (a, b, c, d) in plates if a <= middle[0] <= c and b <= middle[1] <= d and c - a < 2 * (right - left) + 20]
        for line in lines[max(behind, default=0):]:
            if any(crosses(box, a, b) for a, b in zip(line, line[1:])):
                yield f"a line goes through: {text}"
                break


def far_captions(tree, texts, tag):
    """Captions of a film that stand far under the picture that they are of, or beside an empty half."""
    MOST = 40
    shapes = []
    for element in tree.iter(tag + "polygon"):
        points = [tuple(map(float, p.split(","))) for p in element.get("points").split()]
        shapes.append((points[0][0], max(y for _, y in points)))
    captions = [t for t in texts if re.match(r"[\d.]+ (?:s|min|h):", t.words)]
    for text in captions:
        middle = (text.box[0] + text.box[2]) / 2
        feet = [y for x, y in shapes if abs(x - middle) < 250 and y < text.box[3]]
        if not feet or text.box[3] - max(feet) > MOST:
            yield f"far under its picture: {text}"
    width = float(tree.get("viewBox").split()[2])
    if len(captions) % 2:
        middle = (captions[-1].box[0] + captions[-1].box[2]) / 2
        if abs(middle - width / 2) > 2:
            yield "the last moment stands beside an empty half"


def over_cut(line, texts, closed):
    if line.get("class") not in ("CUT", "OTHER_FACE"):
        return
    points = [tuple(map(float, p.split(","))) for p in line.get("points").split()]
    ends = points[1:] + points[:1] if closed else points[1:]
    for text in texts:
        if any(crosses(text.box, a, b) for a, b in zip(points, ends)):
            yield f"over a line to cut by: {text}"


def main():
    folder, us = Path(sys.argv[1]), "us" in sys.argv[2:]
    count, bad = 0, 0
    for path in sorted([*folder.glob("*.svg"), *folder.glob("*.html")]):
        text = path.read_text()
        drawings = [text] if path.suffix == ".svg" else re.findall(r"<svg\b.*?</svg>", text, re.S)
        for table in re.findall(r"<h\d[^>]*>[^<]*</h\d>\s*(?:<div[^>]*>\s*)?<table\b.*?</table>", text, re.S):
            if "<td" not in table:
                bad += 1
                print(f"{path.name}: no rows under {table[:80]}")
        for number, svg in enumerate(drawings):
            count += 1
            for fault in faults(path.name, svg, us):
                bad += 1
                print(f"{path.name}{f' drawing {number + 1}' if path.suffix == '.html' else ''}: {fault}")
    print(f"{count} drawings, {bad} faults")
    if not count:
        sys.exit("no drawings there: run make.sh first")
    return int(bad > 0)


if __name__ == "__main__":
    sys.exit(main())
