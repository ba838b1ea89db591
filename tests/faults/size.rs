//! Much of everything, with the time that it may take.
use std::fmt::Write as _;
use std::fs;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::run::{Folder, assert_near, awash_in, number};
use super::split::{boats, split_hull};

/// Longest that an answer here may take a person to wait for, in a debug build on two
/// busy cores (common practice, no source). The runs themselves print their times.
const PATIENCE: Duration = Duration::from_secs(60);
/// Memory that a hull of ten million triangles may take, kB.
const EIGHT_GB: u64 = 8_000_000;

fn boat_with(lines: &str) -> Folder {
    let folder = Folder::new();
    let before = boats("before.toml").display().to_string();
    folder.write("b.toml", format!("extends = {before:?}\n{lines}"));
    folder
}

/// Runs a command on the boat and says how long it took.
#[expect(clippy::print_stdout, reason = "the times are what is asked")]
fn timed(folder: &Folder, command: &[&str]) -> serde_json::Value {
    let started = Instant::now();
    let words = [command, &["--format", "json"]].concat();
    let result = awash_in(folder.path(), &words).json();
    let took = started.elapsed();
    println!("{command:?}: {:.1} s", took.as_secs_f64());
    assert!(took < PATIENCE, "{command:?} took {took:?}");
    result
}

#[test]
fn ten_thousand_items() {
    let mut text = String::new();
    for n in 0..10_000 {
        let x = 1.2 + f64::from(n % 100) / 100.0;
        write!(
            text,
            "[[item]]\nname=\"i{n}\"\nmass=\"1 g\"\nat=[{x:.2},0,0.1]\n"
        )
        .unwrap();
    }
    let (folder, bare) = (boat_with(&text), boat_with(""));
    let loaded = timed(&folder, &["float", "b.toml"]);
    let empty = timed(&bare, &["float", "b.toml"]);
    // 10 000 times a gram.
    assert_near(
        number(&loaded, "mass_kg") - number(&empty, "mass_kg"),
        10.0,
        1e-9,
    );
    timed(&folder, &["margins", "b.toml"]);
    timed(&folder, &["righting", "b.toml"]);
    timed(&folder, &["swamp", "b.toml"]);
    timed(&folder, &["place", "b.toml", "i77"]);
    timed(&folder, &["spread", "b.toml"]);
    timed(&folder, &["dive", "b.toml"]);
}

#[test]
fn five_hundred_openings() {
    let mut text = String::new();
    for n in 0..250 {
        let x = 0.5 + 2.4 * f64::from(n) / 250.0;
        for (side, y) in [("p", 0.9), ("s", -0.9)] {
            write!(
                text,
                "[[opening]]\nname = \"{side}{n}\"\ncylinder = {{ from = [{x:.4}, 0, 0.28], to = [{x:.4}, {y}, 0.28], diameter = \"8 mm\" }}\n"
            )
            .unwrap();
        }
    }
    let folder = boat_with(&text);
    let floated = timed(&folder, &["float", "b.toml"]);
    let openings = floated["openings"].as_array().unwrap();
    assert!(openings.len() >= 500, "{} openings", openings.len());
    timed(&folder, &["margins", "b.toml"]);
    timed(&folder, &["righting", "b.toml"]);
    timed(&folder, &["swamp", "b.toml"]);
    timed(&folder, &["trapped", "b.toml"]);
    // Each draw seeks the knock of each opening: 500 of them take, with the 2000 draws
    // that are usual, a hundred times as long as the tests' own.
    timed(&folder, &["spread", "b.toml", "--draws", "20"]);
}

#[test]
fn boat_files_too_long_or_too_deep_are_refused_at_once() {
    let folder = Folder::new();
    let huge = folder.path().join("huge.toml");
    fs::write(&huge, "# filling\n".repeat(10 << 20)).unwrap();
    folder.write("deep.toml", format!("a = {}", "[".repeat(100_000)));
    folder.write("tables.toml", format!("[{}a]\n", "a.".repeat(100_000)));
    folder.write("many.toml", "[[item]]\n".repeat(30_000));
    folder.write(
        "line.toml",
        format!("name = \"{}\"\n", "long ".repeat(100_000)),
    );
    for (name, words) in [
        ("huge.toml", "the file is longer than 1048576 bytes"),
        ("deep.toml", "nest deeper than 16 levels"),
        ("tables.toml", "nest deeper than 16 levels"),
        ("many.toml", "the file has more than 20000 tables"),
        ("line.toml", "line.toml"),
    ] {
        let started = Instant::now();
        let answer = awash_in(folder.path(), ["float", name]);
        assert!(answer.refusal().contains(words), "{answer:?}");
        // The message can be read: it does not hold the whole file.
        assert!(
            answer.stderr.len() < 10_000,
            "{name}: {} bytes",
            answer.stderr.len()
        );
        assert!(started.elapsed() < Duration::from_secs(10), "{name}");
    }
}

/// Ten million triangles of the open hull, in memory of eight gigabytes.
#[test]
#[ignore = "takes minutes, 0.5 GB of disk and 8 GB of memory"]
fn ten_million_triangles() {
    let folder = Folder::new();
    let count = split_hull(&folder.path().join("hull.stl"), 21);
    assert!(count >= 10_000_000, "{count}");
    let text = fs::read_to_string(boats("before.toml")).unwrap();
    folder.write("b.toml", text);
    let mut results = Vec::new();
    for command in [&["float", "b.toml"][..], &["inspect", "hull.stl"]] {
        let started = Instant::now();
        let output = folder.path().join("out.json");
        let mut child = Command::new(env!("CARGO_BIN_EXE_awash"))
            .args(command)
            .args(["--format", "json"])
            .current_dir(folder.path())
            .stdout(fs::File::create(&output).unwrap())
            .stderr(Stdio::inherit())
            .spawn()
            .expect("it starts");
        let mut peak_kb = 0;
        let status = loop {
            let about = fs::read_to_string(format!("/proc/{}/status", child.id()));
            let peak = about.unwrap_or_default();
            let peak = peak.lines().find_map(|line| line.strip_prefix("VmHWM:"));
            let peak = peak.and_then(|kb| kb.trim().trim_end_matches(" kB").parse().ok());
            peak_kb = peak_kb.max(peak.unwrap_or(0));
            if peak_kb > EIGHT_GB {
                child.kill().ok();
            }
            if let Some(status) = child.try_wait().unwrap() {
                break status;
            }
            std::thread::sleep(Duration::from_millis(50));
        };
        println!(
            "{command:?}, {count} triangles: {:.0} s, {:.2} GB",
            started.elapsed().as_secs_f64(),
            peak_kb as f64 / 1e6
        );
        assert!(peak_kb <= EIGHT_GB, "{peak_kb} kB");
        assert!(peak_kb > 0, "the system does not tell the memory");
        assert!(status.success(), "{status}");
        results.push(
            serde_json::from_slice::<serde_json::Value>(&fs::read(&output).unwrap()).unwrap(),
        );
    }
    // Split flat, it floats as the hull that it is made of.
    let few = awash_in(&boats(""), ["float", "before.toml", "--format", "json"]).json();
    for key in [
        "displaced_volume_m3",
        "waterline_height_m",
        "gm_transverse_m",
    ] {
        assert_near(number(&results[0], key), number(&few, key), 1e-6);
    }
}
