//! Times of loading the decked craft with and without its parts, its hull split into about 200
//! thousand and 2 million triangles, beside the bare import of the same mesh.
//! `cargo bench --bench load`, or with `-- 9` at the end only the hull whose triangles are
//! split into the square of that.
#![expect(
    clippy::print_stdout,
    reason = "a benchmark's answer is what it prints"
)]
use std::path::{Path, PathBuf};
use std::time::Instant;

use awash::boat::{Boat, read_mesh};
use awash::immersion::MomentTree;
use awash::mesh::{prepare, write_stl};
use shared::split_hull;

mod shared;

/// Each triangle of the hull is split into the square of this, and each kind of load
/// timed so often; the least counts, since the machine is shared.
const SIZES: [(u32, usize); 2] = [(3, 7), (9, 5)];
/// What a load may take, in imports of the bare mesh.
const AIM: f64 = 2.0;

fn main() {
    let wanted: Vec<u32> = std::env::args()
        .filter_map(|word| word.parse().ok())
        .collect();
    for (split, runs) in SIZES {
        if wanted.is_empty() || wanted.contains(&split) {
            of_size(split, runs);
        }
    }
}

/// Seconds on the clock and of processor time that a run takes.
fn timed(run: impl FnOnce()) -> (f64, f64) {
    let (start, before) = (Instant::now(), processor_s());
    run();
    (start.elapsed().as_secs_f64(), processor_s() - before)
}

/// Processor time of this process, s, where the system tells.
fn processor_s() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after_name = stat.rsplit(')').next().unwrap_or_default();
    let ticks: f64 = after_name
        .split_whitespace()
        .skip(11)
        .take(2)
        .filter_map(|word| word.parse::<f64>().ok())
        .sum();
    ticks / 100.0
}

fn of_size(split: u32, runs: usize) {
    let folder = std::env::temp_dir().join(format!("awash-load-{}", std::process::id()));
    let files = written(split, &folder);
    shuffled(&folder.join("hull.stl"), &folder.join("shuffled.stl"));
    let import = |file: &str| {
        let read =
            read_mesh(&awash::files::Disk, &folder.join(file), Some(0.001), true).expect("a mesh");
        let prepared = prepare(read.surface, &read.options);
        std::hint::black_box(MomentTree::new(&prepared.surface, &[]));
    };
    let load = |file: &PathBuf| {
        std::hint::black_box(Boat::load(file).expect("it loads"));
    };
    println!("decked craft, each triangle split into {}", split * split);
    let mut least = [(f64::INFINITY, f64::INFINITY); 4];
    for _ in 0..runs {
        let times = [
            timed(|| import("hull.stl")),
            timed(|| import("shuffled.stl")),
            timed(|| load(&files[0])),
            timed(|| load(&files[1])),
        ];
        for (least, (clock, processor)) in least.iter_mut().zip(times) {
            *least = (least.0.min(clock), least.1.min(processor));
        }
    }
    std::fs::remove_dir_all(&folder).expect("the temporary folder goes");
    let names = [
        "bare import",
        "in random order",
        "load without parts",
        "load with two parts",
    ];
    for (name, (clock, processor)) in names.iter().zip(least) {
        println!("  {name:<22} {clock:>7.3} s on the clock, {processor:>6.2} s of processor time");
    }
    let ratio = least[3].0 / least[0].0;
    let met = if ratio <= AIM { "met" } else { "MISSED" };
    println!("  with two parts {ratio:.2} bare imports (aim {AIM}: {met})");
}

/// The facets of a binary STL file in another in random order.
fn shuffled(from: &Path, to: &Path) {
    let bytes = std::fs::read(from).expect("read");
    let (lead, body) = bytes.split_at(84);
    let mut facets: Vec<&[u8]> = body.chunks_exact(50).collect();
    fastrand::Rng::with_seed(1).shuffle(&mut facets);
    std::fs::write(to, [lead, &facets.concat()].concat()).expect("written");
}

/// The tests' boats in a folder with its hull made finer: the file without parts and the one with.
fn written(split: u32, folder: &Path) -> [PathBuf; 2] {
    std::fs::create_dir_all(folder).expect("a temporary folder");
    let boats = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/boats");
    for file in ["before.toml", "after.toml", "foredeck.stl", "well.stl"] {
        std::fs::copy(boats.join(file), folder.join(file)).expect("copied");
    }
    // The boat file says millimetres.
    let mut hull = split_hull(split);
    for vertex in &mut hull.vertices {
        *vertex *= 1000.0;
    }
    let stl = std::fs::File::create(folder.join("hull.stl")).expect("a file");
    write_stl(stl, &hull).expect("written");
    ["before.toml", "after.toml"].map(|file| folder.join(file))
}
