#!/usr/bin/env python3
"""Prints what trimesh (PyPI) measures of sections of the tests' boats.

The figures stand in tests/validation/sections.rs, which holds awash to them.
    python3 benches/peers/sections.py [--venv FOLDER]
"""
import argparse
import subprocess
import sys
import tempfile
from pathlib import Path

from compare import environment

DECKED = Path(__file__).resolve().parents[2] / "tests" / "boats"
# Plane normal and place in mm; closed solids give area and length, the open
# hull gives closed sections across z and a length only across x.
CUTS = [
    ("foredeck.stl", (1, 0, 0), 2601.3),
    ("foredeck.stl", (0, 0, 1), 401.7),
    ("well.stl", (0, 0, 1), 111.1),
    ("well.stl", (1, 0, 0), 301.3),
    ("hull.stl", (0, 0, 1), 61.3),
    ("hull.stl", (0, 0, 1), 151.7),
    ("hull.stl", (0, 0, 1), 301.9),
    ("hull.stl", (1, 0, 0), 401.3),
    ("hull.stl", (1, 0, 0), 1501.7),
    ("hull.stl", (1, 0, 0), 2801.9),
]


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--venv", type=Path)
    parser.add_argument("--inside", action="store_true", help=argparse.SUPPRESS)
    arguments = parser.parse_args()
    if arguments.inside:
        measure()
        return
    with tempfile.TemporaryDirectory() as scratch:
        python, missing = environment(arguments.venv or Path(scratch) / "venv")
        if "trimesh" in missing:
            sys.exit("trimesh " + missing["trimesh"])
        subprocess.run([python, __file__, "--inside"], check=True)


def measure():
    import trimesh

    print("trimesh", trimesh.__version__)
    for name, normal, place in CUTS:
        mesh = trimesh.load(DECKED / name, process=False)
        mesh.merge_vertices()
        mesh.apply_scale(1e-3)
        origin = [part * place * 1e-3 for part in normal]
        cut = mesh.section(plane_origin=origin, plane_normal=normal)
        flat, _ = cut.to_2D()
        area = flat.area if flat.is_closed else float("nan")
        print(f"{name} {'xyz'[normal.index(1)]} {place} mm: area {area:.12f} m2, length {cut.length:.12f} m")


if __name__ == "__main__":
    main()
