//! Lofting: patches of faces on a grid, what is checked of a mesh before it is written, and
//! the run of a program that writes meshes or, with `--check`, only compares them.
use std::collections::{HashMap, HashSet};
use std::io::Cursor;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use awash::mesh::Surface;
use awash::numerics::Vec3;

/// Vertices are kept on a grid of 1 µm, so that equal points are equal.
const GRID_PER_M: f64 = 1.0e6;

pub(crate) fn lerp(a: f64, b: f64, t: f64) -> f64 {
    a + (b - a) * t
}

pub(crate) fn smoothstep(from: f64, to: f64, x: f64) -> f64 {
    let t = ((x - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

pub(crate) fn share(k: usize, of: usize) -> f64 {
    k as f64 / of as f64
}

/// Faces on a grid, lofted patch by patch: a whole, or a port half to mirror.
#[derive(Default)]
pub(crate) struct Lofted {
    triangles: Vec<[[i64; 3]; 3]>,
}

impl Lofted {
    pub(crate) fn triangle(&mut self, corners: [Vec3; 3]) {
        let [a, b, c] = corners.map(on_grid);
        if a != b && b != c && c != a {
            self.triangles.push([a, b, c]);
        }
    }

    /// A patch over rows of points; it faces along (step inside a row) ×
    /// (step from row to row).
    pub(crate) fn patch(&mut self, rows: &[Vec<Vec3>]) {
        for pair in rows.windows(2) {
            for k in 1..pair[0].len() {
                let [a, b] = [pair[0][k - 1], pair[0][k]];
                let [d, c] = [pair[1][k - 1], pair[1][k]];
                // This diagonal, not a–c, leaves no triangle in the plane of
                // symmetry where keel and stem meet.
                self.triangle([a, b, d]);
                self.triangle([b, c, d]);
            }
        }
    }

    /// What was lofted and, asked for, its mirror in y = 0: symmetric to the last bit.
    pub(crate) fn surface(&self, mirrored: bool) -> Surface {
        let mirror = |p: [i64; 3]| [p[0], -p[1], p[2]];
        let starboard = self
            .triangles
            .iter()
            .filter(|_| mirrored)
            .map(|&[a, b, c]| [a, c, b].map(mirror));
        welded(self.triangles.iter().copied().chain(starboard))
    }
}

/// The open shell of a hull: both sides, lofted through port sections from the stern on, each
/// from the keel to the sheer, and a flat transom of so many cells across.
pub(crate) fn shell(sections: &[Vec<Vec3>], transom_cells: usize) -> Surface {
    let mut half = Lofted::default();
    half.patch(sections);
    let transom: Vec<Vec<Vec3>> = (0..=transom_cells)
        .map(|k| {
            let across = |p: &Vec3| Vec3::new(p.x, p.y * share(k, transom_cells), p.z);
            sections[0].iter().map(across).collect()
        })
        .collect();
    half.patch(&transom);
    half.surface(true)
}

/// Places at even steps along a line, given how far along it each of its points lies, m: each
/// place's share of the way from the point of a number to the next.
pub(crate) fn even_steps(along_m: &[f64], steps: usize) -> Vec<(usize, f64)> {
    let last = along_m.len() - 1;
    let place = |j: usize| {
        let wanted_m = along_m[last] * share(j, steps);
        let next = along_m.partition_point(|at| *at < wanted_m).clamp(1, last);
        let (before_m, after_m) = (along_m[next - 1], along_m[next]);
        let way = ((wanted_m - before_m) / (after_m - before_m)).clamp(0.0, 1.0);
        (next - 1, way)
    };
    (0..=steps).map(place).collect()
}

fn welded(triangles: impl Iterator<Item = [[i64; 3]; 3]>) -> Surface {
    let mut surface = Surface::default();
    let mut index = HashMap::new();
    for corners in triangles {
        let face = corners.map(|p| {
            *index.entry(p).or_insert_with(|| {
                surface
                    .vertices
                    .push(Vec3::from(p.map(|c| c as f64 / GRID_PER_M)));
                u32::try_from(surface.vertices.len() - 1).expect("a few thousand vertices")
            })
        });
        surface.faces.push(face);
    }
    surface
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "rounding a boat's coordinate to whole micrometres"
)]
fn on_grid(p: Vec3) -> [i64; 3] {
    [p.x, p.y, p.z].map(|c| (c * GRID_PER_M).round() as i64)
}

/// The open edges as loops of vertices; an edge used twice the same way or
/// more than twice is refused.
fn open_loops(surface: &Surface) -> Result<Vec<Vec<u32>>, String> {
    let mut edges = HashSet::new();
    for (f, [a, b, c]) in surface.faces.iter().enumerate() {
        for edge in [(*a, *b), (*b, *c), (*c, *a)] {
            if !edges.insert(edge) {
                return Err(format!(
                    "triangle {f} uses edge {edge:?} a second time the same way"
                ));
            }
        }
    }
    // The rim runs against the triangles' edges, as a cap's triangles would.
    let mut next = HashMap::new();
    for &(a, b) in edges.iter().filter(|(a, b)| !edges.contains(&(*b, *a))) {
        if next.insert(b, a).is_some() {
            return Err(format!("two open edges meet at vertex {b}"));
        }
    }
    let mut loops = Vec::new();
    while let Some(&start) = next.keys().min() {
        let mut rim = vec![start];
        let mut here = start;
        while let Some(onward) = next.remove(&here) {
            if onward == start {
                break;
            }
            rim.push(onward);
            here = onward;
        }
        loops.push(rim);
    }
    Ok(loops)
}

/// Checks what the file says, not what was meant: reads the bytes back, counts
/// the open loops and wants a positive volume (an open hull is capped from the
/// middle of its rim first). Prints what it found.
fn check_bytes(name: &str, bytes: &[u8], loops_wanted: usize) -> Result<(), String> {
    let read = stl_io::read_stl(&mut Cursor::new(bytes)).map_err(|e| format!("{name}: {e}"))?;
    let index = |v: usize| u32::try_from(v).expect("a few thousand vertices");
    let mut surface = Surface {
        vertices: read
            .vertices
            .iter()
            .map(|v| Vec3::new(v[0].into(), v[1].into(), v[2].into()) / 1000.0)
            .collect(),
        faces: read.faces.iter().map(|f| f.vertices.map(index)).collect(),
    };
    let loops = open_loops(&surface).map_err(|e| format!("{name}: {e}"))?;
    if loops.len() != loops_wanted {
        return Err(format!(
            "{name}: {} open loops, wanted {loops_wanted}",
            loops.len()
        ));
    }
    let (low, high) = surface
        .bounds()
        .ok_or_else(|| format!("{name}: no triangle"))?;
    let area_m2 = surface.area_m2();
    let triangles = surface.faces.len();
    for rim in &loops {
        let sum: Vec3 = rim.iter().map(|v| surface.vertices[*v as usize]).sum();
        let middle = index(surface.vertices.len());
        surface.vertices.push(sum / rim.len() as f64);
        for (k, v) in rim.iter().enumerate() {
            surface.faces.push([*v, rim[(k + 1) % rim.len()], middle]);
        }
    }
    let volume_m3 = surface.signed_volume_m3();
    if volume_m3 <= 0.0 {
        return Err(format!(
            "{name}: volume {volume_m3:.6} m³, so it faces inward; turn its triangles"
        ));
    }
    eprintln!(
        "{name}: {triangles} triangles, {loops_wanted} open loop(s), {area_m2:.4} m², {volume_m3:.5} m³ (capped), \
         x {:.3}..{:.3}, y {:.3}..{:.3}, z {:.3}..{:.3} m",
        low.x, high.x, low.y, high.y, low.z, high.z
    );
    Ok(())
}

/// Binary STL in a unit of which so many are a metre.
#[expect(clippy::cast_possible_truncation, reason = "binary STL holds f32")]
pub(crate) fn stl_bytes(surface: &Surface, per_m: f64) -> Result<Vec<u8>, String> {
    let single = |v: Vec3| [v.x as f32, v.y as f32, v.z as f32];
    let triangles: Vec<stl_io::Triangle> = (0..surface.faces.len())
        .map(|f| {
            let corners = surface.corners(f);
            let normal = (corners[1] - corners[0])
                .cross(&(corners[2] - corners[0]))
                .normalize();
            stl_io::Triangle {
                normal: stl_io::Normal::new(single(normal)),
                vertices: corners.map(|v| stl_io::Vertex::new(single(v * per_m))),
            }
        })
        .collect();
    let mut bytes = Vec::new();
    stl_io::write_stl(&mut bytes, triangles.iter()).map_err(|e| e.to_string())?;
    Ok(bytes)
}

fn compare(path: &Path, bytes: &[u8]) -> Result<(), String> {
    let found = std::fs::read(path).map_err(|e| format!("{}: {e}", path.display()))?;
    if found == bytes {
        return Ok(());
    }
    let at = found.iter().zip(bytes).take_while(|(a, b)| a == b).count();
    Err(format!(
        "{} differs from what is made at byte {at} ({} bytes on disk, {} made); \
         run without --check to write it anew",
        path.display(),
        found.len(),
        bytes.len()
    ))
}

fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), String> {
    let beside = path.with_extension("stl.new");
    std::fs::write(&beside, bytes)
        .and_then(|()| std::fs::rename(&beside, path))
        .map_err(|e| format!("{}: {e}", path.display()))
}

/// A mesh to write: its bytes as binary STL.
pub(crate) struct Made {
    /// Path below the folder that the program writes into.
    pub(crate) name: &'static str,
    pub(crate) bytes: Vec<u8>,
}

/// A mesh in millimetres that must have so many open edges and face outward.
pub(crate) fn model(
    name: &'static str,
    surface: &Surface,
    loops_wanted: usize,
) -> Result<Made, String> {
    let bytes = stl_bytes(surface, 1000.0)?;
    check_bytes(name, &bytes, loops_wanted)?;
    Ok(Made { name, bytes })
}

/// Writes the meshes into a folder of the checkout, or with `--check` fails if they differ.
pub(crate) fn run(folder: &str, make: impl Fn() -> Result<Vec<Made>, String>) -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let check_only = match words.as_slice() {
        [] => false,
        [word] if word == "--check" => true,
        other => {
            eprintln!("unknown words {other:?}; only --check is known");
            return ExitCode::FAILURE;
        }
    };
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(folder);
    let done = make().and_then(|meshes| {
        meshes.iter().try_for_each(|made| {
            let path = folder.join(made.name);
            if check_only {
                compare(&path, &made.bytes)
            } else {
                write_whole(&path, &made.bytes)
            }
        })
    });
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("{message}");
            ExitCode::FAILURE
        }
    }
}
