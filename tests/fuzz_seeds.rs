//! Every reader against the stored seeds of the fuzzer, each as it is, cut
//! short, and with bytes changed by a fixed rule: refused with a reason or
//! read, never a panic, and never memory out of proportion to the file.
use std::fs;
use std::path::{Path, PathBuf};

use awash::boat::BoatFile;
use awash::mesh::{PrepareOptions, parse_mesh, prepare, read_mesh, weld};

/// Changed copies of each seed.
const CHANGES: u64 = 150;
/// Memory that reading files of a few kilobytes may take in all, kB: the test
/// program itself and the threads of the pool.
const MEMORY_KB: u64 = 100_000;

fn seeds(folder: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fuzz/seeds")
        .join(folder);
    let mut files: Vec<PathBuf> = fs::read_dir(folder)
        .expect("the seeds are there")
        .map(|entry| entry.expect("a folder can be listed").path())
        .collect();
    files.sort();
    files
}

/// splitmix64.
fn scattered(mut z: u64) -> u64 {
    z = z.wrapping_mul(0x9E37_79B9_7F4A_7C15);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

/// The bytes, then cut to each of some lengths, then with one to four bytes
/// changed.
fn variants(bytes: &[u8]) -> impl Iterator<Item = Vec<u8>> {
    let step = bytes.len().div_ceil(60).max(1);
    let cut = (0..bytes.len())
        .step_by(step)
        .map(|end| bytes[..end].to_vec());
    let changed = (1..=CHANGES).filter(|_| !bytes.is_empty()).map(|k| {
        let mut changed = bytes.to_vec();
        for i in 0..=(k % 4) {
            let dice = scattered(4 * k + i);
            let place = usize::try_from(dice >> 16).expect("64 bits") % changed.len();
            changed[place] = dice.to_le_bytes()[0];
        }
        changed
    });
    std::iter::once(bytes.to_vec()).chain(cut).chain(changed)
}

#[test]
fn mesh_readers_hold_against_every_seed_and_its_changes() {
    let files = seeds("mesh");
    assert!(files.len() > 30, "{}", files.len());
    let (mut read, mut refused) = (0, 0);
    for file in files {
        let bytes = fs::read(&file).expect("a seed");
        let extension = file.extension().unwrap_or_default().to_string_lossy();
        for variant in variants(&bytes) {
            match parse_mesh(&variant, &extension) {
                Ok(raw) => {
                    read += 1;
                    assert!(!raw.triangles().is_empty(), "{}", file.display());
                    assert!(raw.triangles().len() <= variant.len(), "{}", file.display());
                    let triangles = raw.triangles();
                    let corners = triangles.iter().flatten().flatten();
                    assert!(corners.copied().all(f64::is_finite), "{}", file.display());
                    let prepared =
                        prepare(weld(raw.surface, 1.0).surface, &PrepareOptions::default());
                    assert_eq!(prepared.closed, prepared.surface.is_balanced());
                }
                Err(error) => {
                    refused += 1;
                    assert!(!error.to_string().is_empty());
                }
            }
        }
    }
    // Both ends of the readers were reached, not one alone.
    assert!(
        read > 500 && refused > 500,
        "{read} read, {refused} refused"
    );
    assert!(
        peak_memory_kb().is_none_or(|kb| kb < MEMORY_KB),
        "{:?} kB",
        peak_memory_kb()
    );
}

#[test]
fn the_boat_file_reader_holds_against_every_seed_and_its_changes() {
    let files = seeds("boat");
    assert!(files.len() >= 9, "{}", files.len());
    let (mut read, mut refused) = (0, 0);
    for file in files {
        let bytes = fs::read(&file).expect("a seed");
        for variant in variants(&bytes) {
            match BoatFile::from_bytes("boat.toml", &variant) {
                Ok(_) => read += 1,
                Err(error) => {
                    refused += 1;
                    assert!(error.to_string().contains("boat.toml"), "{error}");
                }
            }
        }
    }
    assert!(read > 50 && refused > 500, "{read} read, {refused} refused");
}

#[test]
fn good_seeds_of_every_type_are_read_from_their_files() {
    for name in [
        "binary.stl",
        "text.stl",
        "plain.obj",
        "ascii.ply",
        "binary_little_endian.ply",
        "binary_big_endian.ply",
        "plain.glb",
    ] {
        let file = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("tests/fuzz/seeds/mesh")
            .join(name);
        let raw = read_mesh(&awash::files::Disk, &file).unwrap_or_else(|error| panic!("{error}"));
        let welded = weld(raw.surface, 1.0);
        // The corner of a unit cube: a sixth.
        let volume = welded.surface.signed_volume_m3();
        assert!((volume - 1.0 / 6.0).abs() < 1e-15, "{name}: {volume}");
        assert!(welded.surface.is_balanced(), "{name}");
    }
}

/// Most memory that this process has had, kB, where the system tells.
fn peak_memory_kb() -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}
