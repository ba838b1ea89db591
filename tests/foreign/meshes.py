#!/usr/bin/env python3
"""Every mesh of open packages through inspect, mend, slice and float.

    apt-get download assimp-testmodels openscad-testing-data
    for d in *.deb; do dpkg -x $d x; done
    tests/foreign/meshes.py target/release/awash x

Nothing may panic, be killed or take longer than LIMIT_S. Where a general library
(trimesh) finds a mesh watertight and of one winding, and awash has no doubt about its
volume, the two volumes and the two volumes under a water plane at half height must
agree. Needs numpy and trimesh (and manifold3d for its plane cuts). Prints a line a
mesh and the counts; exits with 1 when anything failed.
"""
import json
import pathlib
import subprocess
import sys
import tempfile

import numpy as np
import trimesh

KINDS = {".stl", ".obj", ".ply", ".glb"}
LIMIT_S = 120
# Readers keep single precision of the file and weld it in their own way.
WITHIN = 1e-5
# Doubts that leave the volume as it is.
HARMLESS = {"unit", "place", "wrong_count", "stray", "loose_weld", "specks"}


def run(binary, *arguments):
    """Exit code, JSON where there is one, and what is wrong with the run."""
    line = [binary, *map(str, arguments), "--format", "json"]
    try:
        done = subprocess.run(line, capture_output=True, text=True, timeout=LIMIT_S)
    except subprocess.TimeoutExpired:
        return None, None, f"longer than {LIMIT_S} s"
    if done.returncode not in (0, 2) or "panicked" in done.stderr:
        return done.returncode, None, f"exit {done.returncode}: {done.stderr[-200:]}"
    result = json.loads(done.stdout) if done.returncode == 0 else None
    return done.returncode, result, None


def closed(path):
    """The mesh as a general library has it, where that is a closed solid."""
    try:
        mesh = trimesh.load(path, force="mesh")
    except Exception:  # a file that only one of the two reads is no comparison
        return None
    good = isinstance(mesh, trimesh.Trimesh) and len(mesh.faces) and mesh.is_volume
    return mesh if good else None


def volumes(binary, path, counts):
    """Compares volumes; gives what is wrong."""
    low_high = closed(path)
    if low_high is None:
        counts["not closed there"] += 1
        return None
    low, high = low_high.bounds
    half = float(low[2] + high[2]) / 2
    _, cut, wrong = run(
        binary, "slice", path, "--mesh-units", "m", f"--waterline={half!r}")
    if wrong or cut is None:
        counts["refused"] += 1
        return wrong
    doubts = {doubt["kind"] for doubt in cut.get("mesh_doubts", [])}
    if doubts - HARMLESS:
        counts["doubted"] += 1
        return None
    below = low_high.slice_plane([0, 0, half], [0, 0, -1], cap=True).volume
    got = cut["displaced_volume_m3"]
    if abs(got - below) > WITHIN * max(abs(low_high.volume), 1e-30):
        return f"{got} m³ under water, {below} by trimesh"
    counts["volumes agree"] += 1
    return None


def float_it(binary, path, folder):
    """Floats it at half of what it holds; gives what is wrong."""
    boat = folder / "boat.toml"
    boat.write_text(
        f"[hull]\nmesh = {json.dumps(str(path.resolve()))}\nunits = \"m\"\n"
        "scale_to = { length = 3 }\n"
        "skin = { thickness = \"4 mm\", density = \"1500 kg/m3\" }\n")
    _, _, wrong = run(binary, "float", boat)
    return wrong


def main():
    binary, *folders = sys.argv[1:]
    paths = sorted(
        path for folder in folders for path in pathlib.Path(folder).rglob("*")
        if path.suffix.lower() in KINDS and path.is_file())
    counts = dict.fromkeys(
        ["volumes agree", "doubted", "refused", "not closed there"], 0)
    failed = 0
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        for path in paths:
            troubles = []
            for arguments in (
                ("inspect", path),
                ("mend", path, "--output", folder / "out.stl", "--force"),
            ):
                troubles.append(run(binary, *arguments)[2])
            troubles.append(float_it(binary, path, folder))
            troubles.append(volumes(binary, path, counts))
            troubles = [trouble for trouble in troubles if trouble]
            failed += bool(troubles)
            print(path.name, "; ".join(troubles) or "ok", flush=True)
    print(f"{len(paths)} meshes, {failed} failed;", counts)
    return 1 if failed else 0


if __name__ == "__main__":
    np.seterr(all="ignore")
    sys.exit(main())
