//! Anything may be done in any order.
use awash::numerics::Vec3;
use awash::viewer::{SectionPlane, ViewerState};

use crate::support::looked_at;
use awash::study::Start;

/// Steps of the run in the tests; `AWASH_RANDOM_SECONDS` makes it longer.
const STEPS: usize = 400;

#[test]
fn random_input_neither_stops_it_nor_spoils_a_number() {
    let mut state = looked_at("bulkheads.toml");
    let mut random = fastrand::Rng::with_seed(20_260_301);
    let seconds: Option<u64> = std::env::var("AWASH_RANDOM_SECONDS")
        .ok()
        .and_then(|text| text.parse().ok());
    let start = std::time::Instant::now();
    let mut steps = 0_usize;
    loop {
        let goes_on = match seconds {
            Some(seconds) => start.elapsed().as_secs() < seconds,
            None => steps < STEPS,
        };
        if !goes_on {
            break;
        }
        steps += 1;
        act(&mut state, &mut random);
        assert_sound(&state, steps);
    }
    state.finish();
    assert!(!state.is_busy());
}

fn act(state: &mut ViewerState, random: &mut fastrand::Rng) {
    let number = |random: &mut fastrand::Rng| match random.u8(0..12) {
        0 => f64::NAN,
        1 => f64::INFINITY,
        2 => -1e12,
        3 => 0.0,
        _ => (random.f64() - 0.5) * 10f64.powi(random.i32(-3..4)),
    };
    match random.u8(0..25) {
        0 => state.hold_heel(number(random)),
        1 => state.hold_pitch(number(random)),
        2 => state.hold_sinkage(number(random)),
        3 => state.let_sinkage_follow(random.bool()),
        4 => state.let_it_float(),
        5 => state.set_upright(),
        6..=10 => {
            let index = random.usize(0..14);
            let at = Vec3::new(random.f64() * 3.4, random.f64() - 0.5, random.f64() * 0.5);
            let mass = number(random);
            let kind = random.u8(0..4);
            state.change(|edits, _| match kind {
                0 => edits.weigh_item(index, mass),
                1 => edits.move_item(index, &Vec3::repeat(mass)),
                2 => {
                    if let Some(item) = edits.items.get_mut(index) {
                        item.aboard = !item.aboard;
                    }
                }
                _ => edits.move_item(index, &at),
            });
        }
        11 => {
            let openings = &state.subject().boat.openings;
            let name = openings[random.usize(0..openings.len())].name.clone();
            let covered = random.bool();
            state.change(|edits, subject| edits.cover(subject, &name, covered));
        }
        12..=14 => state.undo(),
        15 => state.redo(),
        16 => state.show_moment(random.usize(0..100)),
        17 if random.u8(0..8) == 0 => state.push_it_under(),
        18 if random.u8(0..8) == 0 => {
            let parts = ["foredeck", "well", "no such part"];
            let name = parts[random.usize(0..3)].to_owned();
            state.change(|edits, _| {
                if !edits.parts_off.remove(&name) {
                    edits.parts_off.insert(name);
                }
            });
        }
        19 => {
            state.show.section = Some(SectionPlane {
                axis: random.usize(0..3),
                at_m: number(random),
            });
        }
        20 => state.let_go(),
        21 if random.u8(0..8) == 0 => {
            let conditions = [None, Some("rain"), Some("no such condition")];
            state.choose_condition(conditions[random.usize(0..3)]);
        }
        22 => {
            let starts = [Start::Knock, Start::Tilt, Start::Condition];
            state.knocked.start = starts[random.usize(0..3)];
            state.knocked.inside_m3 = random.f64() * 0.4;
            state.knocked.bailed_m3_s = random.f64() * 1e-3;
        }
        23 => state.show.before = state.show.before.next(),
        _ => state.poll(),
    }
}

fn assert_sound(state: &ViewerState, step: usize) {
    let readings = state.readings();
    assert!(
        readings.mass_kg.is_finite() && readings.mass_kg >= 0.0,
        "step {step}"
    );
    assert!((readings.plane.up.norm() - 1.0).abs() < 1e-9, "step {step}");
    assert!(readings.plane.level_m.is_finite(), "step {step}");
    assert!(readings.displacement_kg.is_finite(), "step {step}");
    for opening in &readings.openings {
        assert!(
            opening.freeboard_m.is_none_or(f64::is_finite),
            "step {step}"
        );
    }
    assert!(readings.floats || state.trouble().is_some(), "step {step}");
    let (past, future) = state.steps();
    assert!(past <= 200 && future <= 200, "step {step}");
}
