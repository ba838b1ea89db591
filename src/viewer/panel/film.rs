//! Pushed under: how, and the time line of what follows.
use super::{Dimension, Ui, UnitSystem, ViewerState, egui, length_unit, show};
use crate::present::Present as _;
use crate::study::Start;
use crate::viewer::shown::Attitude;

/// Cubic metres in a litre.
const LITRE_M3: f64 = 1e-3;
/// Cubic metres in a US gallon.
const GALLON_M3: f64 = 3.785_411_784e-3;
/// Most water that can be put inside or bailed a minute here, m³.
const MOST_M3: f64 = 10.0;
/// Deepest push, m, and longest hold, s.
const MOST_UNDER_M: f64 = 0.5;
const MOST_HELD_S: f64 = 600.0;
/// What brings the first sill under, and its name.
const STARTS: [(Start, &str); 3] = [
    (Start::Knock, "the cheapest knock"),
    (Start::Tilt, "the least lean"),
    (Start::Condition, "nothing: as it stands"),
];

/// The time line of a swamping.
pub(super) fn film(ui: &mut Ui, state: &mut ViewerState) {
    options(ui, state);
    ui.horizontal(|ui| {
        let text = match state.knocked.start {
            Start::Knock | Start::Tilt => "Push it under",
            Start::Condition => "Start flooding",
        };
        let button = egui::Button::new(text);
        if ui.add_enabled(!state.is_filming(), button).clicked() {
            state.push_it_under();
        }
        if state.is_filming() {
            ui.spinner();
        }
    });
    let Some(film) = state.film() else {
        return;
    };
    let lines = film.time_line.len();
    ui.label(film.summary(state.units));
    let mut line = match state.attitude() {
        Attitude::Film(line) => line,
        Attitude::Afloat | Attitude::Held(_) => 0,
    };
    let last = lines.saturating_sub(1);
    let Some(moment) = film.time_line.get(line.min(last)) else {
        return;
    };
    let volume = |m3: f64| show(m3, Dimension::Volume, state.units);
    let time = show(moment.time_s, Dimension::Time, state.units);
    ui.label(format!("{time}: {} inside", volume(moment.water_m3)));
    let slider = egui::Slider::new(&mut line, 0..=last)
        .text("moment")
        .show_value(false);
    let moved = ui.add(slider).changed();
    // More than one space: where the water is.
    if moment.compartments_m3.len() > 1 {
        let spaces = film.compartments.iter();
        let rooms = spaces.filter(|space| !space.sealed && !is_flooded(state, &space.name));
        for (space, water_m3) in rooms.zip(&moment.compartments_m3) {
            let (water, holds) = (volume(*water_m3), volume(space.capacity_m3));
            ui.label(format!("{}: {water} of {holds}", space.name));
        }
    }
    if moved {
        state.show_moment(line);
    }
}

fn is_flooded(state: &ViewerState, name: &str) -> bool {
    let mut spaces = state.subject().boat.compartments.iter();
    spaces.any(|space| space.flooded && space.name == name)
}

/// How it is pushed under, and what is done against the water.
fn options(ui: &mut Ui, state: &mut ViewerState) {
    let (length, length_name) = length_unit(state.units);
    let (volume, volume_name) = match state.units {
        UnitSystem::Us => (GALLON_M3, " US gal"),
        UnitSystem::Metric | UnitSystem::Both => (LITRE_M3, " L"),
    };
    let knocked = &mut state.knocked;
    ui.horizontal_wrapped(|ui| {
        ui.label("Brought under by");
        for (start, name) in STARTS {
            ui.radio_value(&mut knocked.start, start, name);
        }
    });
    let pushed = knocked.start != Start::Condition;
    ui.horizontal(|ui| {
        ui.label("by");
        let depth = number(&mut knocked.under_m, length, MOST_UNDER_M, length_name);
        depth(ui, pushed);
        ui.label("for");
        let time = number(&mut knocked.held_s, 1.0, MOST_HELD_S, " s");
        time(ui, pushed);
    });
    ui.horizontal(|ui| {
        ui.label("Water already inside");
        let inside = number(&mut knocked.inside_m3, volume, MOST_M3, volume_name);
        inside(ui, true);
        ui.label("bailed");
        let a_minute = format!("{volume_name}/min");
        let bailed = number(
            &mut knocked.bailed_m3_s,
            volume / 60.0,
            MOST_M3 / 60.0,
            &a_minute,
        );
        bailed(ui, true);
    });
}

/// A number to type or drag, nought or more, in a unit of so many SI units.
fn number<'a>(
    value: &'a mut f64,
    unit: f64,
    most: f64,
    name: &'a str,
) -> impl FnOnce(&mut Ui, bool) + 'a {
    move |ui, enabled| {
        let mut typed = *value / unit;
        let drag = egui::DragValue::new(&mut typed)
            .speed(0.2)
            .range(0.0..=most / unit)
            .max_decimals(1)
            .suffix(name);
        if ui.add_enabled(enabled, drag).changed() && typed.is_finite() {
            *value = typed * unit;
        }
    }
}
