//! Times of the studies on the decked craft, its hull split into about 200 thousand
//! triangles, each against the aim of the project's own issues, and again with 2
//! million, where the aims do not hold. `cargo bench --bench studies`, or with
//! `-- 9` at the end only the hull whose triangles are split into the square of that.
#![expect(
    clippy::print_stdout,
    reason = "a benchmark's answer is what it prints"
)]
use std::path::Path;
use std::time::Instant;

use awash::boat::Boat;
use awash::equilibrium::{Craft, map_sphere, settle};
use awash::mesh::write_stl;
use awash::study::{Knocked, float, margins, righting, spread, swamp};
use shared::{median, split_hull};

mod shared;

/// Each triangle of the hull is split into the square of this, and each study run
/// so often; the middle run counts.
const SIZES: [(u32, usize); 2] = [(3, 5), (9, 1)];

fn main() {
    let wanted: Vec<u32> = std::env::args()
        .filter_map(|word| word.parse().ok())
        .collect();
    for (split, runs) in SIZES {
        if wanted.is_empty() || wanted.contains(&split) {
            of_size(split, runs, split == SIZES[0].0);
        }
    }
}

fn of_size(split: u32, runs: usize, has_aims: bool) {
    let folder = std::env::temp_dir().join(format!("awash-studies-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a temporary folder");
    let boats = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/boats");
    for file in ["before.toml", "after.toml", "foredeck.stl", "well.stl"] {
        std::fs::copy(boats.join(file), folder.join(file)).expect("copied");
    }
    // The boat file says millimetres.
    let mut hull = split_hull(split);
    for vertex in &mut hull.vertices {
        *vertex *= 1000.0;
    }
    write_stl(
        std::fs::File::create(folder.join("hull.stl")).expect("a file"),
        &hull,
    )
    .expect("written");
    let start = Instant::now();
    let boat = Boat::load(&folder.join("after.toml")).expect("it loads");
    let load_s = start.elapsed().as_secs_f64();
    std::fs::remove_dir_all(&folder).expect("the temporary folder goes");
    println!(
        "decked craft of {} triangles, loaded with its parts and their column check in {load_s:.2} s",
        boat.envelope.surface.faces.len()
    );
    let craft = Craft::of(&boat);
    let rest = settle(&craft).expect("it floats").rest;
    println!(
        "a rest attitude from nothing takes {} kernel calls",
        rest.kernel_calls
    );
    let knocked = Knocked {
        inside_m3: 0.14,
        ..Knocked::default()
    };
    let say = |name: &str, aim_s: Option<f64>, run: &mut dyn FnMut()| {
        let seconds = median(runs, run);
        let aim = aim_s.filter(|_| has_aims).map_or_else(String::new, |aim| {
            format!(
                "(aim {aim} s: {})",
                if seconds <= aim { "met" } else { "MISSED" }
            )
        });
        println!("  {name:<60} {seconds:>8.3} s  {aim}");
    };
    say("float", None, &mut || {
        drop(float(&boat).expect("it floats"))
    });
    say(
        "rose of 72 bearings, knock, lift, load map",
        Some(1.0),
        &mut || {
            drop(margins(&boat).expect("it floats"));
        },
    );
    say("map of every rest over the sphere", Some(3.0), &mut || {
        drop(map_sphere(&craft, std::slice::from_ref(&rest)).expect("it floats"));
    });
    say(
        "righting: heel and pitch curves and that map",
        Some(3.25),
        &mut || {
            drop(righting(&boat).expect("it floats"));
        },
    );
    say("spread: 2000 draws", Some(5.0), &mut || {
        drop(spread(&boat, 2000, 1).expect("it floats"));
    });
    say("swamp to the end", Some(3.0), &mut || {
        drop(swamp(&boat, &knocked).expect("it floats"));
    });
}
