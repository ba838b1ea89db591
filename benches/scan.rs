//! Time and memory of reading, inspecting and mending a scan of two million
//! triangles, each in a process of its own. `cargo bench --bench scan`.
//!
//! The scan is the open hull made fine, roughened by 1 mm, with a triangle in
//! a thousand missing, on a floor, turned at random; written as binary STL.
#![expect(
    clippy::print_stdout,
    reason = "a benchmark's answer is what it prints"
)]
use std::path::Path;
use std::process::Command;
use std::time::Instant;

use awash::boat::read_mesh;
use awash::mesh::{Level, MendRecipe, Placement, Surface, solids, write_stl};
use awash::numerics::Vec3;
use awash::study::{inspect, mend_scan};

/// Aims, from the project's own issue, on two cores.
const AIM_INSPECT_S: f64 = 6.0;
const AIM_MEND_S: f64 = 30.0;
const AIM_MEMORY_MB: f64 = 2000.0;
/// How often each triangle of the open hull is cut into four: 1.57 million.
const TIMES_FINER: usize = 3;
/// Cells of the floor along and across: 0.45 million triangles.
const FLOOR: [u32; 2] = [750, 300];

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.as_slice() {
        [mode, file, ..] if mode == "--run-inspect" => run_inspect(Path::new(file)),
        [mode, file, ..] if mode == "--run-mend" => run_mend(Path::new(file), false),
        [mode, file, ..] if mode == "--run-skin" => run_mend(Path::new(file), true),
        _ => all(),
    }
}

fn all() {
    let folder = std::env::temp_dir().join(format!("awash-bench-scan-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for the scan");
    let file = folder.join("scan.stl");
    let scan = scan();
    let triangles = scan.faces.len();
    write_stl(std::fs::File::create(&file).expect("a file"), &scan)
        .expect("the scan can be written");
    drop(scan);
    println!("scan of {triangles} triangles; each line a process of its own");
    for (mode, what, aim_s) in [
        ("--run-inspect", "inspect", AIM_INSPECT_S),
        (
            "--run-mend",
            "mend: floor, largest, upright, fill",
            AIM_MEND_S,
        ),
        ("--run-skin", "mend: the same and outer skin", AIM_MEND_S),
    ] {
        let output = Command::new(std::env::current_exe().expect("this program"))
            .args([mode, &file.to_string_lossy()])
            .stderr(std::process::Stdio::inherit())
            .output()
            .expect("this program runs again");
        let text = String::from_utf8_lossy(&output.stdout);
        let numbers: Vec<f64> = text
            .split_whitespace()
            .map(|n| n.parse().expect("two numbers"))
            .collect();
        let (seconds, memory) = (numbers[0], numbers[1]);
        println!(
            "{what}: {seconds:.2} s (aim {aim_s} s: {}), {memory:.0} MB (aim {AIM_MEMORY_MB} MB: {})",
            met(seconds < aim_s),
            met(memory < AIM_MEMORY_MB)
        );
    }
    std::fs::remove_dir_all(&folder).expect("the folder can be removed");
}

fn met(is_met: bool) -> &'static str {
    if is_met { "met" } else { "MISSED" }
}

fn run_inspect(file: &Path) {
    let start = Instant::now();
    let read = read_mesh(&awash::files::Disk, file, Some(1.0), true).expect("the file is a mesh");
    let result = inspect("scan", read, &stage(start));
    let seconds = start.elapsed().as_secs_f64();
    eprintln!("{:?} {:?}", result.grade, result.because);
    println!("{seconds} {}", peak_memory_mb());
}

fn run_mend(file: &Path, outer_skin: bool) {
    let start = Instant::now();
    let read = read_mesh(&awash::files::Disk, file, Some(1.0), true).expect("the file is a mesh");
    let recipe = MendRecipe {
        drop_floor: true,
        largest_only: true,
        upright: Some(Level::Floor),
        fill_under_m: Some(5.0),
        outer_skin,
        ..MendRecipe::default()
    };
    let (result, _) = mend_scan(
        "scan",
        "out",
        read,
        &recipe,
        &Placement::default(),
        &stage(start),
    )
    .expect("the scan can be mended");
    let seconds = start.elapsed().as_secs_f64();
    eprintln!("{:?}", result.after);
    println!("{seconds} {}", peak_memory_mb());
}

/// Says on stderr when each stage begins.
fn stage(start: Instant) -> impl Fn(&'static str) {
    move |stage| eprintln!("{:7.2} s  {stage}", start.elapsed().as_secs_f64())
}

/// Peak memory of this process, MB, where the system tells.
fn peak_memory_mb() -> f64 {
    std::fs::read_to_string("/proc/self/status")
        .ok()
        .and_then(|status| {
            let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
            line.split_whitespace().nth(1)?.parse::<f64>().ok()
        })
        .map_or(f64::NAN, |kb| kb / 1024.0)
}

fn scan() -> Surface {
    let hull = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/boats/hull.stl");
    let mut scan = read_mesh(&awash::files::Disk, &hull, Some(0.001), false)
        .expect("the open hull is there")
        .surface;
    for _ in 0..TIMES_FINER {
        scan = solids::quartered(scan);
    }
    let mut random = Random(7);
    scan.faces.retain(|_| random.share() > 0.001);
    add_floor(&mut scan);
    for v in &mut scan.vertices {
        for k in 0..3 {
            v[k] += random.normal(0.001);
        }
    }
    let turn = nalgebra::Rotation3::from_euler_angles(0.7, 2.0, -1.1);
    for v in &mut scan.vertices {
        *v = turn * *v + Vec3::new(0.4, -1.0, 2.0);
    }
    scan
}

/// A floor 5 × 2 m, 4 mm over the keel's lowest point, none under the hull.
fn add_floor(scan: &mut Surface) {
    let [columns, rows] = FLOOR;
    let first = u32::try_from(scan.vertices.len()).expect("a few million vertices");
    let place = |i: u32, j: u32| {
        let x = f64::from(i) * 5.0 / f64::from(columns) - 0.8;
        let y = f64::from(j) * 2.0 / f64::from(rows) - 1.0;
        Vec3::new(x, y, 0.004)
    };
    for i in 0..=columns {
        for j in 0..=rows {
            scan.vertices.push(place(i, j));
        }
    }
    for i in 0..columns {
        for j in 0..rows {
            let corner = place(i, j);
            if (0.5..2.5).contains(&corner.x) && corner.y.abs() < 0.1 {
                continue;
            }
            let at = |i: u32, j: u32| first + i * (rows + 1) + j;
            scan.faces.push([at(i, j), at(i + 1, j), at(i + 1, j + 1)]);
            scan.faces.push([at(i, j), at(i + 1, j + 1), at(i, j + 1)]);
        }
    }
}

/// Numbers that look random and are the same every time (splitmix64).
struct Random(u64);

impl Random {
    fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^= z >> 31;
        (z >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// About normal: twelve shares less six.
    fn normal(&mut self, deviation: f64) -> f64 {
        ((0..12).map(|_| self.share()).sum::<f64>() - 6.0) * deviation
    }
}
