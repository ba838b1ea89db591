#!/usr/bin/env python3
"""Opens templates with independent readers; see README.md. Not part of cargo test."""
import argparse
import io
import subprocess
import sys
import tempfile
import venv
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parents[2]
BOAT = REPOSITORY / "tests" / "boats" / "after.toml"
READERS = ["ezdxf", "pymupdf", "resvg-py", "pillow", "numpy"]
DPI = 300
SIDE_MM, WITHIN_MM = 100.0, 0.1
# Half-breadth of the open hull at station 1.8 m, 200 mm over the section's
# lowest point, from `awash section`; read here from the drawing itself.
STATION = ["--station", "1.8"]


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--venv", type=Path, help="folder for the Python environment, kept")
    parser.add_argument("--awash", type=Path, default=REPOSITORY / "target/debug/awash")
    parser.add_argument("--inside", type=Path, help=argparse.SUPPRESS)
    arguments = parser.parse_args()
    if arguments.inside:
        return check(arguments.inside)
    with tempfile.TemporaryDirectory() as scratch:
        scratch = Path(scratch)
        folder = arguments.venv or scratch / "venv"
        python = folder / "bin" / "python"
        if not python.exists():
            venv.create(folder, with_pip=True)
        subprocess.run([python, "-m", "pip", "install", "--quiet", *READERS], check=True)
        for name, plane in {
            "station.svg": STATION,
            "station.dxf": STATION,
            "a4.pdf": STATION,
            "letter.pdf": [*STATION, "--paper", "letter"],
            "panel.dxf": ["--station", "0.9", "--panel"],
        }.items():
            command = [arguments.awash, "template", BOAT, *plane, "-o", scratch / name]
            subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        return subprocess.run([python, __file__, "--inside", scratch]).returncode


def check(folder):
    dxf(folder / "station.dxf", 1)
    dxf(folder / "panel.dxf", 2)
    svg(folder / "station.svg")
    pdf(folder / "a4.pdf", (210.0, 297.0))
    pdf(folder / "letter.pdf", (215.9, 279.4))
    print("all as they must be")
    return 0


def must(what, got, want, within):
    print(f"{what}: {got:.4f}, must be {want:.4f} within {within}")
    if abs(got - want) > within:
        sys.exit(f"{what} is wrong")


def dxf(path, faces):
    import ezdxf
    from ezdxf import bbox

    document = ezdxf.readfile(path)
    faults = document.audit().errors
    if faults:
        sys.exit(f"{path.name}: {faults[0].message}")
    space = document.modelspace()
    square = list(space.query('POLYLINE[layer=="CHECK_SQUARE"]'))
    size = bbox.extents(square).size
    must(f"{path.name}: check square, breadth", size.x, SIDE_MM, 1e-3)
    must(f"{path.name}: check square, height", size.y, SIDE_MM, 1e-3)
    cut = [line for line in space.query("POLYLINE") if line.dxf.layer in ("CUT", "OTHER_FACE")]
    if len(cut) != faces or not all(line.is_closed for line in cut):
        sys.exit(f"{path.name}: {len(cut)} outlines")
    print(f"{path.name}: outline {bbox.extents(cut).size.x:.2f} mm broad, {len(space.query('TEXT'))} texts")


def svg(path):
    import re

    import numpy
    import resvg_py
    from PIL import Image

    text = path.read_text()
    width = float(re.search(r'width="([\d.]+)mm"', text)[1])
    # resvg takes 96 dots to the inch unless told otherwise (CSS).
    png = resvg_py.svg_to_bytes(svg_string=only_check_square(text), dpi=DPI)
    image = numpy.asarray(Image.open(io.BytesIO(bytes(png))).convert("L"))
    must("station.svg: page breadth", image.shape[1] * 25.4 / DPI, width, 25.4 / DPI)
    for axis, name in ((0, "breadth"), (1, "height")):
        must(f"station.svg: check square, {name}", side(image, axis), SIDE_MM, WITHIN_MM)


def only_check_square(text):
    """The drawing with everything but the check square taken out."""
    lines = text.splitlines()
    keep = [line for line in lines if "<svg" in line or "</svg" in line or "<rect" in line or "CHECK_SQUARE" in line]
    return "\n".join(keep)


def pdf(path, size):
    import numpy
    import pymupdf

    document = pymupdf.open(path)
    print(f"{path.name}: {len(document)} sheets")
    for number, page in enumerate(document, 1):
        must(f"{path.name} sheet {number}: breadth", min(page.rect[2:]) * 25.4 / 72, size[0], 0.01)
        # The square's own lines, found among the page's vector drawings and
        # then measured in the picture within a few dots of where they are.
        squares = [d["rect"] for d in page.get_drawings() if near_square(d["rect"])]
        if len(squares) != 1:
            sys.exit(f"{path.name} sheet {number}: {len(squares)} check squares")
        pixels = page.get_pixmap(dpi=DPI, colorspace=pymupdf.csGRAY)
        image = numpy.frombuffer(pixels.samples, numpy.uint8).reshape(pixels.height, pixels.width)
        box = [edge * DPI / 72 for edge in squares[0]]
        # Across the square, in bands that no text crosses.
        must(f"{path.name} sheet {number}: check square, breadth", apart(image, box, 0), SIDE_MM, WITHIN_MM)
        must(f"{path.name} sheet {number}: check square, height", apart(image, box, 1), SIDE_MM, WITHIN_MM)


def near_square(rect):
    sides = [rect.width * 25.4 / 72, rect.height * 25.4 / 72]
    return all(95 < side < 105 for side in sides)


def apart(image, box, axis):
    """Distance between the darkest lines near the two edges of a box, mm."""
    picture = image if axis == 0 else image.T
    low, high = box[axis], box[axis + 2]
    first, last = box[1 - axis], box[3 - axis]
    band = picture[int(first + 0.2 * (last - first)) : int(last - 0.2 * (last - first))]
    ink = 255.0 - band.mean(axis=0)
    centre = []
    for edge in (low, high):
        around = slice(int(edge) - 5, int(edge) + 7)
        weights = ink[around] - ink[around].min()
        places = range(int(edge) - 5, int(edge) + 7)
        centre.append(sum(w * p for w, p in zip(weights, places)) / weights.sum())
    return (centre[1] - centre[0]) * 25.4 / DPI


def side(image, axis):
    """Distance between the outermost dark rows or columns, mm, middle to middle."""
    ink = (255.0 - image).sum(axis=axis)
    dark = (ink > ink.max() * 0.5).nonzero()[0]
    first, last = dark[0], dark[-1]
    def middle(near):
        around = range(max(near - 2, 0), min(near + 3, len(ink)))
        return sum(ink[i] * i for i in around) / sum(ink[i] for i in around)
    return (middle(last) - middle(first)) * 25.4 / DPI


if __name__ == "__main__":
    sys.exit(main())
