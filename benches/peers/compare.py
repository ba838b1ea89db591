#!/usr/bin/env python3
"""Times import, the volume under one water plane and the area of one section: awash
beside general mesh libraries.

Every library reads the same binary STL and cuts it at the same plane
`n . x = level`; the wet side is `n . x < level`. The section is across x. See
README.md.
"""
import argparse
import json
import math
import os
import statistics
import struct
import subprocess
import sys
import tempfile
import time
import venv
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parents[2]
# The library, and what pip has to install for it.
PEERS = {
    "vtk": ["vtk"],
    "trimesh": ["trimesh", "scipy", "shapely", "networkx", "rtree", "mapbox_earcut"],
    "manifold3d": ["manifold3d"],
}
# A volume or area further than this from the median of all is not the same.
SAME = 1e-6
# Heel, pitch (degrees) and height on the z axis (m) of the plane cut unless
# another is given: off every symmetry of the mesh.
HEEL_DEG, PITCH_DEG, HEIGHT_M = 7.0, 2.0, -0.15
# Where the section is cut, m.
STATION_M = 0.3137


def main():
    arguments = parsed()
    if arguments.only:
        print(json.dumps(measured(arguments)))
        return
    if arguments.write:
        write_hull(arguments.write, arguments.triangles)
        return
    with tempfile.TemporaryDirectory() as scratch:
        python, missing = environment(arguments.venv or Path(scratch) / "venv")
        stl = arguments.file
        if stl is None:
            stl = Path(scratch) / "hull.stl"
            size = ["--triangles", str(arguments.triangles)]
            subprocess.run([python, __file__, "--write", stl, *size], check=True)
        rows = [run_peer(python, peer, stl, arguments, missing) for peer in PEERS]
        rows.append(run_awash(stl, arguments.plane))
        print_table(stl, arguments.plane, rows)


def parsed():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--file", type=Path, help="closed binary STL in metres; a hull is made when left out")
    parser.add_argument("--triangles", type=int, default=2_000_000, help="of the hull that is made")
    parser.add_argument("--plane", type=plane, default=standard_plane(), help="nx,ny,nz,level")
    parser.add_argument("--repeats", type=int, default=5, help="timed cuts, after one untimed")
    parser.add_argument("--venv", type=Path, help="folder for the Python environment, kept; a temporary one when left out")
    parser.add_argument("--only", choices=PEERS, help=argparse.SUPPRESS)
    parser.add_argument("--write", type=Path, help=argparse.SUPPRESS)
    return parser.parse_args()


def plane(text):
    nx, ny, nz, level = map(float, text.split(","))
    length = math.hypot(nx, ny, nz)
    return [nx / length, ny / length, nz / length, level / length]


def standard_plane():
    heel, pitch = math.radians(HEEL_DEG), math.radians(PITCH_DEG)
    up = [math.sin(pitch), math.sin(heel) * math.cos(pitch), math.cos(heel) * math.cos(pitch)]
    return [*up, HEIGHT_M * up[2]]


def environment(folder):
    """Makes the Python environment; tells which libraries are missing."""
    python = folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    if not python.exists():
        venv.create(folder, with_pip=True)
    missing = {}
    for peer, packages in {"numpy": ["numpy"], **PEERS}.items():
        command = [python, "-m", "pip", "install", "--quiet", *packages]
        outcome = subprocess.run(command, capture_output=True, text=True)
        if outcome.returncode != 0:
            missing[peer] = "could not be installed: " + last_line(outcome.stderr)
    if "numpy" in missing:
        sys.exit("numpy " + missing["numpy"])
    return python, missing


def last_line(text):
    return (text.strip().splitlines() or ["no message"])[-1]


def run_peer(python, peer, stl, arguments, missing):
    if peer in missing:
        return {"name": peer, "trouble": missing[peer]}
    cut = ",".join(map(repr, arguments.plane))
    options = [f"--plane={cut}", "--repeats", str(arguments.repeats)]
    command = [python, __file__, "--only", peer, "--file", stl, *options]
    outcome = subprocess.run(command, capture_output=True, text=True)
    if outcome.returncode != 0:
        return {"name": peer, "trouble": "failed: " + last_line(outcome.stderr)}
    return json.loads(last_line(outcome.stdout))


def run_awash(stl, cut):
    cut = ",".join(map(repr, cut))
    command = ["cargo", "bench", "--bench", "kernel", "--", "--file", stl.resolve()]
    command += ["--plane", cut, "--station", str(STATION_M)]
    try:
        outcome = subprocess.run(command, capture_output=True, text=True, cwd=REPOSITORY)
    except OSError as error:
        return {"name": "awash", "trouble": f"cargo could not be started: {error}"}
    for line in outcome.stdout.splitlines():
        if line.startswith("{") and "one_plane_ms" in line:
            return {"name": "awash", **json.loads(line)}
    return {"name": "awash", "trouble": "gave no figures: " + last_line(outcome.stderr)}


def measured(arguments):
    """Runs inside the environment: one library, in a process of its own."""
    cutters = {"vtk": with_vtk, "trimesh": with_trimesh, "manifold3d": with_manifold3d}
    begun = time.perf_counter()
    version, cut, section = cutters[arguments.only](arguments.file, arguments.plane)
    import_s = time.perf_counter() - begun
    volume, one_plane_ms = timed(cut, arguments.repeats)
    area, section_ms = timed(section, arguments.repeats)
    return {
        "name": f"{arguments.only} {version}",
        "import_s": import_s,
        "one_plane_ms": one_plane_ms,
        "volume_m3": volume,
        "section_ms": section_ms,
        "area_m2": area,
    }


def timed(run, repeats):
    """What it gives, and the median of its times after one untimed run, ms."""
    found = run()
    times = []
    for _ in range(repeats):
        begun = time.perf_counter()
        found = run()
        times.append(1000 * (time.perf_counter() - begun))
    return found, statistics.median(times)


def below(cut):
    """A point of the plane, and the normal of the half space to keep."""
    *normal, level = cut
    return [level * n for n in normal], [-n for n in normal]


def with_vtk(stl, cut):
    from vtkmodules.vtkCommonCore import vtkVersion
    from vtkmodules.vtkCommonDataModel import vtkPlane, vtkPlaneCollection
    from vtkmodules.vtkFiltersCore import vtkCutter, vtkMassProperties, vtkTriangleFilter
    from vtkmodules.vtkFiltersGeneral import vtkClipClosedSurface, vtkContourTriangulator
    from vtkmodules.vtkIOGeometry import vtkSTLReader

    reader = vtkSTLReader()
    reader.SetFileName(str(stl))
    reader.Update()
    origin, normal = below(cut)
    water = vtkPlane()
    water.SetOrigin(origin)
    water.SetNormal(normal)
    planes = vtkPlaneCollection()
    planes.AddItem(water)
    clip = vtkClipClosedSurface()
    clip.SetInputConnection(reader.GetOutputPort())
    clip.SetClippingPlanes(planes)
    triangles = vtkTriangleFilter()
    triangles.SetInputConnection(clip.GetOutputPort())
    mass = vtkMassProperties()
    mass.SetInputConnection(triangles.GetOutputPort())

    def volume():
        clip.Modified()
        mass.Update()
        return mass.GetVolume()

    across = vtkPlane()
    across.SetOrigin(STATION_M, 0, 0)
    across.SetNormal(1, 0, 0)
    cutter = vtkCutter()
    cutter.SetInputConnection(reader.GetOutputPort())
    cutter.SetCutFunction(across)
    filled = vtkContourTriangulator()
    filled.SetInputConnection(cutter.GetOutputPort())
    flat = vtkMassProperties()
    flat.SetInputConnection(filled.GetOutputPort())

    def area():
        cutter.Modified()
        flat.Update()
        return flat.GetSurfaceArea()

    return vtkVersion.GetVTKVersion(), volume, area


def with_trimesh(stl, cut):
    import trimesh

    mesh = trimesh.load(stl, file_type="stl", force="mesh")
    origin, normal = below(cut)
    return (
        trimesh.__version__,
        lambda: float(mesh.slice_plane(origin, normal, cap=True).volume),
        lambda: float(mesh.section(plane_origin=[STATION_M, 0, 0], plane_normal=[1, 0, 0]).to_2D()[0].area),
    )


def with_manifold3d(stl, cut):
    import importlib.metadata

    import manifold3d
    import numpy

    # It reads no files: facets and their weld by numpy count as its import.
    corners = stl_facets(stl)["corners"].reshape(-1, 3)
    exact = numpy.ascontiguousarray(corners).view("V12").ravel()
    _, first, index = numpy.unique(exact, return_index=True, return_inverse=True)
    mesh = manifold3d.Mesh64(
        corners[first].astype(numpy.float64), index.reshape(-1, 3).astype(numpy.uint64)
    )
    solid = manifold3d.Manifold(mesh)
    if solid.status() != manifold3d.Error.NoError:
        raise SystemExit(f"refused the mesh: {solid.status()}")
    origin, normal = below(cut)
    # It slices across z only: turned so that x points up, once.
    turned = solid.rotate([0, -90, 0])
    turned.num_tri()
    return (
        importlib.metadata.version("manifold3d"),
        lambda: solid.trim_by_plane(normal, -cut[3]).volume(),
        lambda: turned.slice(STATION_M).area(),
    )


def facet_layout():
    import numpy

    return numpy.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])


def stl_facets(stl):
    import numpy

    return numpy.fromfile(stl, dtype=facet_layout(), offset=84)


def write_hull(path, triangles):
    """A closed hull like half an ellipsoid, 3.4 x 0.8 x 0.4 m, deck at z = 0."""
    import numpy

    # Twice as many cells round as down: 2·around·rings triangles and a deck.
    rings = max(2, round(math.sqrt(triangles / 4)))
    around = 2 * rings
    turn = 2 * numpy.pi * numpy.arange(around) / around
    down = numpy.pi / 2 * numpy.arange(1, rings + 1) / rings
    # Fuller than an ellipse amidships, finer forward than aft.
    round_it = numpy.stack([1.7 * numpy.cos(turn), 0.4 * numpy.sin(turn) * (1 - 0.2 * numpy.cos(turn))], 1)
    ring = numpy.concatenate(
        [
            numpy.sin(down)[:, None, None] * round_it[None],
            numpy.broadcast_to(-0.4 * numpy.cos(down)[:, None, None], (rings, around, 1)),
        ],
        axis=2,
    )
    ring[-1, :, 2] = 0.0
    ring = ring.astype("<f4")
    after = numpy.roll(ring, -1, axis=1)
    keel = numpy.broadcast_to(numpy.array([0, 0, -0.4], "<f4"), ring[0].shape)
    deck = numpy.zeros_like(ring[0])
    facets = [
        numpy.stack([keel, after[0], ring[0]], 1),
        numpy.stack([ring[:-1], after[:-1], after[1:]], 2).reshape(-1, 3, 3),
        numpy.stack([ring[:-1], after[1:], ring[1:]], 2).reshape(-1, 3, 3),
        numpy.stack([deck, ring[-1], after[-1]], 1),
    ]
    corners = numpy.concatenate(facets)
    records = numpy.zeros(len(corners), facet_layout())
    records["corners"] = corners
    header = b"hull for benches/peers".ljust(80)
    path.write_bytes(header + struct.pack("<I", len(corners)) + records.tobytes())


def print_table(stl, cut, rows):
    figures = [row for row in rows if "trouble" not in row]
    triangles = (stl.stat().st_size - 84) // 50
    print(f"{triangles} triangles; plane {', '.join(f'{n:.6f}' for n in cut)}")
    for time_key, size_key, what in [
        ("one_plane_ms", "volume_m3", "one plane"),
        ("section_ms", "area_m2", "section"),
    ]:
        if not figures:
            break
        middle = statistics.median(row[size_key] for row in figures)
        agree = lambda row: abs(row[size_key] - middle) <= SAME * abs(middle)
        peers = [row for row in figures if row["name"] != "awash" and agree(row)]
        fastest = min((row[time_key] for row in peers), default=None)
        print(f"{'':<20} {'import':>9} {what:>12} {'of fastest peer':>16} {size_key:>18} {'off the median':>15}")
        for row in figures:
            share = f"{row[time_key] / fastest:.4f}" if fastest else "-"
            off = (row[size_key] - middle) / middle
            note = "" if agree(row) else "  NOT the same"
            print(
                f"{row['name']:<20} {row['import_s']:>7.2f} s {row[time_key]:>9.3f} ms {share:>16}"
                f" {row[size_key]:>18.12f} {off:>15.1e}{note}"
            )
    for row in rows:
        if "trouble" in row:
            print(f"{row['name']}: {row['trouble']}")


if __name__ == "__main__":
    main()
