//! Time to find rest attitude and freeboards again after a thing aboard was
//! moved, as each frame of the viewer does, drawing apart. `cargo bench --bench
//! viewer`.
#![expect(
    clippy::print_stdout,
    reason = "a benchmark's answer is what it prints"
)]
use std::path::Path;

use awash::mesh::write_stl;
use awash::numerics::Vec3;
use awash::viewer::{DISPLAY_TRIANGLES, DisplayMesh, Subject, ViewerState};
use shared::{median, split_hull};

mod shared;

/// Splits of the open hull and what one frame may cost, s.
const SIZES: [(u32, f64); 2] = [(3, 4e-3), (9, 10e-3)];
/// Moves timed.
const MOVES: usize = 61;

fn main() {
    let folder = std::env::temp_dir().join(format!("awash-viewer-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a temporary folder");
    let boats = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/boats");
    for file in ["before.toml", "after.toml", "foredeck.stl", "well.stl"] {
        std::fs::copy(boats.join(file), folder.join(file)).expect("copied");
    }
    for (splits, aim_s) in SIZES {
        let mut hull = split_hull(splits);
        for vertex in &mut hull.vertices {
            // The boat file says millimetres.
            *vertex *= 1000.0;
        }
        write_stl(
            std::fs::File::create(folder.join("hull.stl")).expect("a file"),
            &hull,
        )
        .expect("written");
        let subject = Subject::load(&folder.join("after.toml")).expect("it loads");
        let boat = &subject.boat;
        let triangles = boat.envelope.surface.faces.len();
        let battery = subject.file.items.iter();
        let battery = battery
            .enumerate()
            .find(|(_, item)| item.name.starts_with("battery"))
            .map_or(0, |(index, _)| index);
        let coarser_s = median(1, || {
            let mesh = DisplayMesh::new(&boat.envelope.surface, boat.skin_faces, DISPLAY_TRIANGLES);
            assert!(mesh.faces.len() <= DISPLAY_TRIANGLES);
        });
        let mut state = ViewerState::new(subject, None);
        let mut step = 0.0;
        let move_s = median(MOVES, || {
            // As a hand drags it: 5 mm a frame, there and back.
            step += 1.0;
            let at = Vec3::new(0.9 + 0.005 * (step % 40.0), 0.12, 0.13);
            state.change(|edits, _| edits.move_item(battery, &at));
        });
        let mut heel = 0.0;
        let heel_s = median(MOVES, || {
            heel += 0.3;
            state.hold_heel(heel);
        });
        let say = |what: &str, seconds: f64| {
            let verdict = if seconds <= aim_s { "met" } else { "MISSED" };
            println!(
                "  {what:<48} {:>7.2} ms  (aim {:.0} ms: {verdict})",
                seconds * 1e3,
                aim_s * 1e3
            );
        };
        println!("{triangles} triangles; the hull to draw made in {coarser_s:.2} s, once");
        say("a thing moved: rest and freeboards again", move_s);
        say("heeled by hand: rest, sinkage and freeboards", heel_s);
    }
    std::fs::remove_dir_all(&folder).expect("the temporary folder goes");
}
