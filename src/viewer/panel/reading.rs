//! The readings: the same for the panel and for a picture's card.
use super::{
    Dimension, OpeningVerdict, Sense, Sign, Ui, UnitSystem, ViewerState, direction_in_words, egui,
    paint_sign, show, vec2,
};
use crate::viewer::readings::Readings;
use crate::viewer::shown::Attitude;

const GM: &str = "GM across, along";
const LEVER: &str = "Turning lever";
const TILT: &str = "Tilt to flood";
const TAKES: &str = "  takes";

/// A title and lines of name and value.
pub(in crate::viewer) fn readings_in_text(state: &ViewerState) -> (String, Vec<(String, String)>) {
    let readings = state.readings();
    let units = state.units;
    let mass = |kg: f64| show(kg, Dimension::Mass, units);
    let mut lines = Vec::new();
    let mut add = |name: &str, value: String| lines.push((name.to_owned(), value));
    match state.attitude() {
        _ if !readings.floats => add(
            "IT SINKS",
            format!(
                "{} aboard, holds up {}",
                mass(readings.mass_kg),
                mass(readings.capacity_kg)
            ),
        ),
        Attitude::Afloat => add("Lies", "at rest".to_owned()),
        Attitude::Film(line) => {
            let moment = state
                .film()
                .and_then(|film| film.time_line.get(line))
                .map(|moment| {
                    format!(
                        "{} inside after {}",
                        show(moment.water_m3, Dimension::Volume, units),
                        show(moment.time_s, Dimension::Time, units)
                    )
                });
            add("Lies", moment.unwrap_or_default());
        }
        Attitude::Held(_) => {
            let off = readings.displacement_kg - readings.mass_kg;
            add(
                "Held",
                if off.abs() < 0.05 {
                    "by hand, sinkage free".to_owned()
                } else if off > 0.0 {
                    format!("pressed down by {}", mass(off))
                } else {
                    format!("lifted by {}", mass(-off))
                },
            );
        }
    }
    lines.extend(common_in_text(readings, units));
    let worst = worst_in_text(state).into_iter();
    lines.extend(worst.map(|(name, value)| (name.to_owned(), value)));
    // With water coming in they would take that water, which these have not.
    if matches!(state.attitude(), Attitude::Film(_)) {
        for (name, value) in &mut lines {
            if [GM, LEVER, TILT, TAKES].contains(&name.as_str()) {
                "–".clone_into(value);
            }
        }
    }
    (state.subject().boat.name.clone(), lines)
}

/// The lines that are there of any boat. Every line is always there, lest what
/// is being dragged below moves away.
pub(in crate::viewer) fn common_in_text(
    readings: &Readings,
    units: UnitSystem,
) -> Vec<(String, String)> {
    let length = |metres: f64| show(metres, Dimension::Length, units);
    let angle = |deg: f64| show(deg, Dimension::Angle, units);
    let plane = &readings.plane;
    let [forward, aft] = readings.draughts_m;
    let [across, along] = readings.gm_m;
    let pair = |one: String, other: String| format!("{one}, {other}");
    let least = match readings.lowest() {
        Some(opening) => format!(
            "{} {}: {}",
            opening.freeboard_m.map_or_else(String::new, length),
            opening.name,
            opening.verdict.word()
        ),
        None => "no open opening".to_owned(),
    };
    [
        (
            "Heel, pitch",
            pair(angle(plane.heel_deg()), angle(plane.pitch_deg())),
        ),
        (
            "Displacement",
            show(readings.displacement_kg, Dimension::Mass, units),
        ),
        ("Draught fwd, aft", pair(length(forward), length(aft))),
        ("Deepest point", length(readings.draught_m)),
        (GM, pair(length(across), length(along))),
        (LEVER, length(readings.lever_m)),
        (
            "Reserve of buoyancy",
            show(readings.reserve_of_buoyancy_m3, Dimension::Volume, units),
        ),
        ("Least freeboard", least),
    ]
    .map(|(name, value)| (name.to_owned(), value))
    .into()
}

/// The lean that floods it soonest, from rest.
fn worst_in_text(state: &ViewerState) -> Vec<(&'static str, String)> {
    let Some((worst, is_now)) = state.worst() else {
        return vec![(TILT, "…".to_owned()), (TAKES, "–".to_owned())];
    };
    let working = if is_now {
        ""
    } else {
        " (before the change …)"
    };
    let Some(worst) = worst else {
        return vec![(TILT, format!("none{working}")), (TAKES, "–".to_owned())];
    };
    let openings = &state.subject().boat.openings;
    let then = match worst.opening {
        Some(number) => openings.get(number).map_or("", |opening| &opening.name),
        None => "turns over",
    };
    vec![
        (
            TILT,
            format!(
                "{} {}{working}",
                show(worst.lean_deg, Dimension::Angle, state.units),
                direction_in_words(worst.bearing_deg),
            ),
        ),
        (
            TAKES,
            format!(
                "{}, {then}",
                show(worst.work_j, Dimension::Energy, state.units),
            ),
        ),
    ]
}

/// The readings at the top of the panel.
pub(super) fn readings(ui: &mut Ui, state: &ViewerState) {
    let (title, lines) = readings_in_text(state);
    ui.horizontal(|ui| {
        let verdict = match state.readings().lowest() {
            _ if !state.readings().floats => Some(OpeningVerdict::UnderWater),
            lowest => lowest.map(|opening| opening.verdict),
        };
        if let Some(verdict) = verdict {
            let (rect, _) = ui.allocate_exact_size(vec2(20.0, 20.0), Sense::hover());
            paint_sign(ui.painter(), Sign::of(verdict), rect.center(), 7.0);
        }
        ui.heading(title);
    });
    egui::Grid::new("readings")
        .num_columns(2)
        .spacing([10.0, 2.0])
        .show(ui, |ui| {
            for (name, value) in lines {
                ui.label(name);
                ui.strong(value);
                ui.end_row();
            }
        });
    if let Some(trouble) = state.trouble() {
        ui.label(trouble);
    }
}
