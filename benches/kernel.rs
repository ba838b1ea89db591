//! Times of import, tree, one plane and one rest attitude, each against a
//! stated reference in the same run. `cargo bench --bench kernel`.
//!
//! With `-- --file FILE.stl --plane nx,ny,nz,level --station x` it times one file,
//! one plane (normal up, level in metres) and one section across x, and prints one
//! line of JSON.
#![expect(
    clippy::print_stdout,
    reason = "a benchmark's answer is what it prints"
)]
use std::path::Path;
use std::time::Instant;

use awash::boat::read_mesh;
use awash::equilibrium::{Craft, Displacers, Hold, find_rest, find_rest_from};
use awash::immersion::{MomentTree, WaterPlane, immerse_one_pass};
use awash::mesh::{Slicer, Surface, prepare, write_stl};
use awash::numerics::Vec3;
use shared::{median, split_hull};

mod shared;

/// Each triangle of the open hull (24 564 and its cap) is split into the
/// square of this: about 20 thousand, 200 thousand and 2 million triangles of
/// the shapes that a hull's mesh has.
const SPLITS: [u32; 3] = [1, 3, 9];
/// Planes timed at each size.
const PLANES: usize = 60;
/// Aims, from the project's own issue: ratios and counts, and one time.
const AIM_RATIO: f64 = 25.0;
const AIM_EXPONENT: f64 = 0.6;
const AIM_CALLS: usize = 12;
const AIM_IMPORT_S: f64 = 2.5;
const AIM_MEMORY_MB: f64 = 1200.0;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let after = |name: &str| {
        let place = arguments.iter().position(|a| a == name)?;
        arguments.get(place + 1).cloned()
    };
    let station = after("--station").unwrap_or_else(|| "0".to_owned());
    match (after("--file"), after("--plane")) {
        (Some(file), Some(plane)) => one_file(Path::new(&file), &plane, &station),
        (Some(file), None) => import_only(Path::new(&file)),
        _ => all_sizes(),
    }
}

/// Peak memory of this process, MB, where the system tells.
fn peak_memory_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kb: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kb / 1024.0)
}

fn import(path: &Path) -> (Surface, MomentTree, f64) {
    let start = Instant::now();
    let read = read_mesh(&awash::files::Disk, path, Some(1.0), true).expect("the file is a mesh");
    let prepared = prepare(read.surface, &read.options);
    let tree = MomentTree::new(&prepared.surface, &[]);
    (prepared.surface, tree, start.elapsed().as_secs_f64())
}

/// Prints seconds and peak memory of one import: run in a process of its own.
fn import_only(path: &Path) {
    let (_, tree, seconds) = import(path);
    let memory = peak_memory_mb().unwrap_or(f64::NAN);
    println!("{seconds} {memory} {}", tree.triangles());
}

fn one_file(path: &Path, plane: &str, station: &str) {
    let station_m: f64 = station.parse().expect("--station takes metres");
    let numbers: Vec<f64> = plane
        .split(',')
        .map(|n| n.parse().expect("--plane takes nx,ny,nz,level"))
        .collect();
    let up = Vec3::new(numbers[0], numbers[1], numbers[2]).normalize();
    let plane = WaterPlane {
        up,
        level_m: numbers[3],
    };
    let (surface, tree, import_s) = import(path);
    let found = tree.immerse(&plane);
    let seconds = median(201, || {
        std::hint::black_box(tree.immerse(std::hint::black_box(&plane)));
    });
    let start = Instant::now();
    let slicer = Slicer::of(&surface);
    let import_s = import_s + start.elapsed().as_secs_f64();
    let area_m2 = slicer.section(0, station_m).area_m2();
    let section_s = median(21, || {
        std::hint::black_box(slicer.section(0, std::hint::black_box(station_m)).area_m2());
    });
    println!(
        "{{\"section_ms\": {}, \"area_m2\": {area_m2}, \"one_plane_ms\": {}, \"volume_m3\": {}, \"import_s\": {import_s}, \"triangles\": {}}}",
        section_s * 1e3,
        seconds * 1e3,
        found.volume_m3,
        tree.triangles()
    );
}

/// A heel curve as studies ask for it: −20 to 20° in equal steps, each plane
/// near the last.
fn heel_sweep() -> Vec<WaterPlane> {
    (0..PLANES)
        .map(|i| {
            let heel = 40.0 * i as f64 / (PLANES - 1) as f64 - 20.0;
            WaterPlane::at_attitude(heel, 1.0, 0.17)
        })
        .collect()
}

/// Planes far from each other, so that each finds nothing of the last in the
/// processor's caches: heel −20 to 20°, pitch −3 to 3°, waterline height 80 to 250 mm,
/// spread by golden-ratio steps so that every run takes the same ones.
fn far_planes() -> Vec<WaterPlane> {
    let spread = |i: usize, step: f64| (i as f64 * step).fract();
    (1..=PLANES)
        .map(|i| {
            let heel = 40.0 * spread(i, 0.618_033_988_75) - 20.0;
            let pitch = 6.0 * spread(i, 0.414_213_562_37) - 3.0;
            let level = 0.08 + 0.17 * spread(i, 0.732_050_807_57);
            WaterPlane::at_attitude(heel, pitch, level)
        })
        .collect()
}

fn all_sizes() {
    println!("the open hull, each triangle split into 1, 9 and 81");
    println!(
        "{:>9}  {:>9}  {:>9}  {:>12}  {:>12}  {:>11}  {:>7}  {:>10}  {:>6}  {:>10}  {:>10}",
        "triangles",
        "import s",
        "tree ms",
        "one plane ms",
        "far plane ms",
        "one pass ms",
        "ratio",
        "rest ms",
        "calls",
        "re-rest ms",
        "memory MB"
    );
    let mut plane_times = Vec::new();
    let mut verdicts = Vec::new();
    for splits in SPLITS {
        let surface = split_hull(splits);
        let folder = std::env::temp_dir().join(format!("awash-bench-{}", std::process::id()));
        std::fs::create_dir_all(&folder).expect("a temporary folder");
        let path = folder.join("hull.stl");
        write_stl(std::fs::File::create(&path).expect("a file"), &surface)
            .expect("the mesh is written");
        let (import_s, memory_mb) = import_elsewhere(&path);
        let (surface, _, _) = import(&path);
        std::fs::remove_dir_all(&folder).expect("the temporary folder goes");
        let tree_s = median(3, || {
            std::hint::black_box(MomentTree::new(&surface, &[]));
        });
        let tree = MomentTree::new(&surface, &[]);
        let time_of = |planes: &[WaterPlane]| {
            for plane in planes {
                std::hint::black_box(tree.immerse(plane));
            }
            let mut next = planes.iter().cycle();
            median(5 * PLANES, || {
                std::hint::black_box(tree.immerse(next.next().expect("cycle")));
            })
        };
        let plane_s = time_of(&heel_sweep());
        let far_s = time_of(&far_planes());
        let sweep = heel_sweep();
        let mut next = sweep.iter().cycle();
        let pass_s = median(15, || {
            std::hint::black_box(immerse_one_pass(&surface, &[], next.next().expect("cycle")));
        });
        let craft = Craft {
            displacers: Displacers::envelope(std::sync::Arc::new(tree)),
            mass_kg: 200.0,
            centre_of_gravity_m: Vec3::new(1.37, 0.01, 0.21),
            density_kg_m3: 1000.0,
            liquids: Vec::new(),
        };
        let rest = || {
            let upright = find_rest(&craft, &Vec3::z(), Hold::Heel).expect("it floats");
            let free = find_rest_from(&craft, upright.plane(), Hold::Nothing).expect("it floats");
            (upright.kernel_calls + free.kernel_calls, free)
        };
        let (calls, at_rest) = rest();
        let rest_s = median(21, || {
            std::hint::black_box(rest());
        });
        let mut moved = craft.clone();
        moved.centre_of_gravity_m.y += 0.005;
        let again_s = median(21, || {
            std::hint::black_box(find_rest_from(&moved, at_rest.plane(), Hold::Nothing))
                .expect("it floats");
        });
        println!(
            "{:>9}  {:>9.3}  {:>9.1}  {:>12.4}  {:>12.4}  {:>11.3}  {:>7.1}  {:>10.3}  {:>6}  {:>10.3}  {:>10.0}",
            surface.faces.len(),
            import_s,
            tree_s * 1e3,
            plane_s * 1e3,
            far_s * 1e3,
            pass_s * 1e3,
            pass_s / plane_s,
            rest_s * 1e3,
            calls,
            again_s * 1e3,
            memory_mb
        );
        plane_times.push((surface.faces.len() as f64, plane_s));
        verdicts.push((calls, pass_s / plane_s, import_s, memory_mb));
    }
    let (first, last) = (plane_times[0], plane_times[plane_times.len() - 1]);
    let exponent = (last.1 / first.1).ln() / (last.0 / first.0).ln();
    let (calls, ratio, import_s, memory_mb) = verdicts[verdicts.len() - 1];
    let most_calls = verdicts.iter().map(|v| v.0).max().unwrap_or(calls);
    println!("\nAims, at the largest size:");
    let say =
        |met: bool, text: String| println!("  {} {text}", if met { "met   " } else { "MISSED" });
    say(
        ratio >= AIM_RATIO,
        format!("one plane {ratio:.0} times faster than one pass (aim {AIM_RATIO:.0})"),
    );
    say(
        exponent <= AIM_EXPONENT,
        format!("one plane grows as triangles^{exponent:.2} (aim {AIM_EXPONENT})"),
    );
    say(
        most_calls <= AIM_CALLS,
        format!("a rest attitude from nothing in {most_calls} kernel calls (aim {AIM_CALLS})"),
    );
    say(
        import_s <= AIM_IMPORT_S,
        format!("import to a checked mesh with its tree in {import_s:.2} s (aim {AIM_IMPORT_S})"),
    );
    say(
        memory_mb <= AIM_MEMORY_MB,
        format!("peak memory of that import {memory_mb:.0} MB (aim {AIM_MEMORY_MB:.0})"),
    );
}

/// Seconds and MB of an import in a process of its own, so that the bench's
/// own meshes do not count.
fn import_elsewhere(path: &Path) -> (f64, f64) {
    let this = std::env::current_exe().expect("the bench knows its own file");
    let output = std::process::Command::new(this)
        .arg("--file")
        .arg(path)
        .output()
        .expect("the bench starts itself");
    let text = String::from_utf8_lossy(&output.stdout);
    let mut numbers = text.split_whitespace().filter_map(|n| n.parse().ok());
    (
        numbers.next().expect("seconds"),
        numbers.next().expect("megabytes"),
    )
}
