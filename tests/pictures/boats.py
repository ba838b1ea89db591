#!/usr/bin/env python3
"""Makes boats that drawings slip on: `boats.py FOLDER`. All of them are invented."""
import math
import sys
from pathlib import Path

STATIONS, GIRTH = 41, 13
# Forty letters each, the longest name that the set has.
NAMES = [
    "forward port side window with its gasket", "middle port side window with its gasket.",
    "after port side window without a gasket!", "forward starboard window with its gasket",
    "middle starboard window with its gasket.", "after starboard window, gasket taken off",
    "port hole in the transom for the bilge's", "starboard hole in the transom for a wire",
    "scupper to port beside the after thwarts", "scupper to starboard beside that thwart!",
    "speed sensor's hole, far forward to port", "the whole open edge of the boat's inside",
]


class Hull:
    """An open shell lofted over stations: half breadth, depth and shape along x."""

    def __init__(self, length, beam, depth, tumble=0.0):
        self.length, self.beam, self.depth, self.tumble = length, beam, depth, tumble

    def point(self, u, v):
        """At a share of the length and of the girth from keel (0) to rim (1), to port."""
        full = 1.0 - max(0.0, (u - 0.45) / 0.55) ** 2.2 - 0.18 * max(0.0, (0.45 - u) / 0.45) ** 2
        rise = 0.25 * max(0.0, (u - 0.6) / 0.4) ** 2
        top = self.depth * (1.0 + 0.22 * (2 * u - 0.8) ** 2)
        # From the keel out to the bilge, and up to a rim that may lean inboard.
        if v < 0.5:
            y, z = math.sin(math.pi * v), 0.3 * (1 - math.cos(math.pi * v))
        else:
            w = 2 * v - 1
            y, z = 1.0 - self.tumble * w * w + 0.02 * w * (self.tumble == 0), 0.3 + 0.7 * w
        base = self.depth * rise
        return [u * self.length, self.beam / 2 * full * y, base + (top - base) * z]

    def write(self, path):
        corners, faces = [], []
        side = [v / (GIRTH - 1) for v in range(GIRTH)]
        for i in range(STATIONS):
            u = i / (STATIONS - 1)
            port = [self.point(u, v) for v in side]
            row = [[x, -y, z] for x, y, z in reversed(port[1:])] + port
            corners += row
        across = 2 * GIRTH - 1
        for i in range(STATIONS - 1):
            for j in range(across - 1):
                a, b = i * across + j, i * across + j + 1
                c, d = a + across, b + across
                if i == STATIONS - 2:
                    # The stem is one line: both sides come together in its corners.
                    c, d = [(STATIONS - 1) * across + GIRTH - 1 + abs(k - GIRTH + 1) for k in (j, j + 1)]
                faces += [(a, b, c), (b, d, c)]
        # The transom, between what is level to port and to starboard.
        for j in range(GIRTH - 1):
            s, p = j, across - 1 - j
            faces.append((s, p, s + 1))
            if s + 1 != p - 1:
                faces.append((p, p - 1, s + 1))
        faces = [(a, c, b) for a, b, c in faces if len({a, b, c}) == 3]
        with open(path, "w") as out:
            out.writelines(f"v {x:.6f} {y:.6f} {z:.6f}\n" for x, y, z in corners)
            out.writelines(f"f {a + 1} {b + 1} {c + 1}\n" for a, b, c in faces)

    def box(self, u, v, size):
        """A cutter about a point of the port side."""
        x, y, z = self.point(u, abs(v))
        y = math.copysign(y, v)
        low = [x - size, y - 2 * size, z - size / 2]
        return f"box = {{ min = {low}, max = {[x + size, y + 2 * size, z + size / 2]} }}"

    def hole(self, u, y, z, size):
        """A round cutter along the boat at its transom."""
        at = [-size, y, z], [size, y, z]
        return f"cylinder = {{ from = {at[0]}, to = {at[1]}, diameter = \"{1000 * size:.0f} mm\" }}"


def boat(folder, name, title, hull, mass, items, openings=(), more=""):
    hull.write(folder / f"{name}.obj")
    low = 0.45 * hull.depth
    text = (f'name = "{title}"\n[hull]\nmesh = "{name}.obj"\nunits = "m"\nmass = {mass}\n'
            f"centre = [{0.45 * hull.length}, 0.0, {low}]\n{more}")
    for opening, where in openings or [("rim", "loop = 1")]:
        text += f'[[opening]]\nname = "{opening}"\n{where}\n'
    for item, kilograms, x, y, z in items:
        at = [x * hull.length, y * hull.beam, z * hull.depth]
        who = "person = true\n" if item.startswith("person") else "density = 2000\n"
        text += f'[[item]]\nname = "{item}"\nmass = {kilograms}\nat = {at}\n{who}'
    (folder / f"{name}.toml").write_text(text)


class Twin(Hull):
    """Two narrow boxes side by side with a deck from one to the other, seven tenths of their length."""

    def write(self, path):
        wide, apart = self.beam / 5, self.beam / 2
        corners, faces = [], []
        blocks = [(0.0, self.length, y, y + wide, 0.0, self.depth) for y in (-apart, apart - wide)]
        blocks.append((0.2 * self.length, 0.9 * self.length, -apart, apart, self.depth, 1.15 * self.depth))
        for x0, x1, y0, y1, z0, z1 in blocks:
            first = len(corners) + 1
            corners += [(x, y, z) for x in (x0, x1) for y in (y0, y1) for z in (z0, z1)]
            for a, b, c, d in [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]:
                faces += [(first + a, first + b, first + c), (first + a, first + c, first + d)]
        with open(path, "w") as out:
            out.writelines(f"v {x:.6f} {y:.6f} {z:.6f}\n" for x, y, z in corners)
            out.writelines(f"f {a} {b} {c}\n" for a, b, c in faces)


def main():
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    many = Hull(3.6, 1.4, 0.6)
    places = [many.box(u, v, 0.06) for v in (0.86, -0.86) for u in (0.72, 0.5, 0.28)]
    places += [many.hole(0, y, 0.42, 0.05) for y in (0.18, -0.12)]
    places += [many.box(0.2, v, 0.03) for v in (0.78, -0.74)] + [many.box(0.82, 0.9, 0.02), "loop = 1"]
    crew = [("person", 80, 0.42, 0.06, 0.6), ("person forward", 70, 0.62, 0, 0.6), ("battery of the electric motor, with box", 27, 0.2, 0.1, 0.3),
            ("motor", 14, 0.02, 0, 0.6), ("anchor and its twenty metres of chain", 9, 0.85, 0, 0.4)]
    boat(folder, "many", "a tender with a name of some forty letters", many, 170, crew, list(zip(NAMES, places)))
    boat(folder, "model", "model", Hull(0.5, 0.16, 0.07), 0.75,
         [("battery", 0.3, 0.4, 0, 0.2), ("motor", 0.12, 0.2, 0, 0.3)])
    boat(folder, "long", "long boat", Hull(12.0, 2.6, 1.3), 3400,
         [("engine", 420, 0.25, 0, 0.3), ("ballast", 1200, 0.45, 0, 0.1), ("person", 85, 0.3, 0.1, 0.8)],
         [("rim", "loop = 1"), ("vent", Hull(12.0, 2.6, 1.3).box(0.3, 0.85, 0.1))])
    boat(folder, "tumble", "tumblehome", Hull(4.2, 1.1, 0.55, tumble=0.3), 90,
         [("person", 85, 0.4, 0, 0.55), ("chest", 20, 0.6, 0.05, 0.3)])
    # An item as broad as the boat has a single row of places; so much of it that it sinks.
    boat(folder, "narrow", "narrow sledge", Hull(1.6, 0.5, 0.3), 9, [("stones", 130, 0.5, 0, 0.2)],
         more='[[item]]\nname = "housing"\nmass = 14\nat = [0.8, 0, 0.16]\nvolume = "15 L"\n'
              'size = [0.5, 0.4, 0.18]\nsealed = true\n')
    boat(folder, "twin", "twin hull with a name that is a good deal longer than its legend is wide", Twin(4.2, 2.0, 0.5), 160,
         [("person", 85, 0.4, 0.03, 1.3), ("motor", 30, 0.1, 0, 1.2)],
         [("vent to port", 'box = { min = [2.0, 0.9, 0.40], max = [2.06, 1.1, 0.44] }')])


if __name__ == "__main__":
    main()
