//! How long edits take on a hull of 219 000 triangles. Prints; asserts nothing of time, which
//! a busy machine would break:
//!
//!     cargo test --features viewer-tests --test viewer times -- --ignored --nocapture
use std::fs;
use std::time::Instant;

use awash::mesh::write_stl;
use awash::numerics::Vec3;
use awash::viewer::{Cargo, Grip, Kind, Ray, Subject, Tool, ViewerState};

use crate::support::boats;

#[path = "../../benches/shared/mod.rs"]
mod shared;

/// Splits of the open hull's triangles.
const SPLITS: u32 = 3;

#[test]
#[ignore = "prints times"]
fn times_of_edits() {
    let folder = tempfile::tempdir().unwrap();
    fs::copy(boats("before.toml"), folder.path().join("before.toml")).unwrap();
    let mut hull = shared::split_hull(SPLITS);
    for vertex in &mut hull.vertices {
        *vertex *= 1000.0;
    }
    write_stl(
        fs::File::create(folder.path().join("hull.stl")).unwrap(),
        &hull,
    )
    .unwrap();
    let subject = Subject::load(&folder.path().join("before.toml")).unwrap();
    println!("{} triangles", subject.boat.envelope.surface.faces.len());
    let mut state = ViewerState::new(subject, None);
    let timed = |what: &str, state: &mut ViewerState, work: &mut dyn FnMut(&mut ViewerState)| {
        let start = Instant::now();
        work(state);
        println!("{what}: {:.1} ms", 1e3 * start.elapsed().as_secs_f64());
    };
    let side = |x_m: f64| Ray {
        from_m: Vec3::new(x_m, -5.0, 0.2),
        along: Vec3::y(),
    };
    let above = |x_m: f64| Ray {
        from_m: Vec3::new(x_m, 0.0, 5.0),
        along: -Vec3::z(),
    };
    timed(
        "worked out beside the drawing, first",
        &mut state,
        &mut ViewerState::finish,
    );
    timed("a place picked", &mut state, &mut |state| {
        state.click(&side(1.3), None)
    });
    state.take_up(Tool::Make(Kind::Round));
    timed(
        "a hole clicked, with the boat as it was kept",
        &mut state,
        &mut |state| {
            state.click(&side(1.2), None);
        },
    );
    for x in [1.25, 1.3, 1.35] {
        timed(
            "the hole pulled: rim, rest, readings",
            &mut state,
            &mut |state| {
                state.pull(Grip::Middle, &side(x));
            },
        );
    }
    state.let_go();
    timed(
        "made anew with the hole, lean and knock",
        &mut state,
        &mut ViewerState::finish,
    );
    for (kind, ray) in [(Kind::Pocket, side(1.8)), (Kind::Skeg, side(0.5))] {
        state.take_up(Tool::Make(kind));
        state.click(&ray, None);
        timed(kind.name(), &mut state, &mut |state| {
            let version = state.rims_version();
            while state.rims_version() == version && state.refused().is_none() {
                state.poll();
            }
        });
        println!("  refused: {:?}", state.refused());
        state.finish();
    }
    state.take_up(Tool::Stow(Cargo::Battery));
    timed("a battery clicked", &mut state, &mut |state| {
        state.click(&above(0.9), None)
    });
    state.finish();
    let item = state.edits().items.len() - 1;
    for x in [0.95, 1.0] {
        timed(
            "the battery moved: rest, readings",
            &mut state,
            &mut |state| {
                state.pull(Grip::Item(item), &above(x));
            },
        );
    }
}
