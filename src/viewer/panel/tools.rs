//! What a click does, and what was clicked.
use kiss3d::egui::{self, RichText, Ui};

use super::{Dimension, ViewerState, length_unit, mass_unit, show};
use crate::boat::OpeningState;
use crate::viewer::made::{Is, Kind, LEAST_POINTS, Made};
use crate::viewer::stowed::{Cargo, Pose};
use crate::viewer::tool::{Chosen, Tool};

/// The tools and what to do with the one in hand.
pub(super) fn tools(ui: &mut Ui, state: &mut ViewerState) {
    let now = state.tool;
    let mut next = now;
    let mut pick = |ui: &mut Ui, tool: Tool, name: &str| {
        if ui.selectable_label(now == tool, name).clicked() {
            next = tool;
        }
    };
    ui.horizontal_wrapped(|ui| {
        ui.strong("Click to");
        pick(ui, Tool::Look, "look");
        pick(ui, Tool::Measure, "measure");
    });
    ui.horizontal_wrapped(|ui| {
        ui.strong("Cut a");
        for kind in Kind::CUTS {
            pick(ui, Tool::Make(kind), kind.name());
        }
    });
    ui.horizontal_wrapped(|ui| {
        ui.strong("Put aboard a");
        for cargo in Cargo::ALL {
            pick(ui, Tool::Stow(cargo), cargo.name());
        }
    });
    ui.horizontal_wrapped(|ui| {
        ui.strong("Build a");
        for kind in Kind::BUILT {
            pick(ui, Tool::Make(kind), kind.name());
        }
    });
    if next != now {
        state.take_up(next);
    }
    let advice = match state.tool {
        Tool::Look => "Click on the hull, an opening or a thing aboard.".to_owned(),
        Tool::Measure => "Click on two places of the hull.".to_owned(),
        Tool::Make(kind) => kind.advice().to_owned(),
        Tool::Stow(cargo) => format!("Click where it stands or sits: {}.", cargo.told()),
    };
    ui.label(RichText::new(advice).italics());
}

/// What was clicked, and its figures.
pub(super) fn chosen(ui: &mut Ui, state: &mut ViewerState) {
    places(ui, state);
    match state.chosen.clone() {
        Some(Chosen::Made(_)) => {
            if let Some(made) = state.chosen_made().cloned() {
                figures(ui, state, &made);
            }
        }
        Some(Chosen::Item(number)) => thing(ui, state, number),
        Some(Chosen::Opening(name)) => {
            ui.separator();
            ui.strong(&name);
            height_line(ui, state, &name);
        }
        Some(Chosen::Part(name)) => part(ui, state, &name),
        None => {}
    }
}

fn places(ui: &mut Ui, state: &ViewerState) {
    let units = state.units;
    let length = |m: f64| show(m + 0.0, Dimension::Length, units);
    let boat = &state.subject().boat;
    let water = state.readings().plane;
    if let [only] = state.picked.as_slice() {
        ui.separator();
        let at = only.at_m;
        ui.label(format!(
            "x {}, y {}, z {}",
            length(at.x),
            length(at.y),
            length(at.z)
        ));
        ui.label(only.by_tape(&boat.frame, units));
        ui.label(above(water.height_m(&at), units));
    }
    if let [from, to] = state.picked.as_slice() {
        ui.separator();
        let way = to.at_m - from.at_m;
        ui.strong(format!("{} straight", length(way.norm())));
        ui.label(match state.subject().along_skin_m(from, to) {
            Some(along) => format!("{} along the skin", length(along)),
            None => "the skin between them is not in one piece".to_owned(),
        });
        ui.label(format!(
            "{} along, {} across, {} up",
            length(way.x.abs()),
            length(way.y.abs()),
            length(way.z.abs())
        ));
        ui.label(format!(
            "{}, then {}",
            above(water.height_m(&from.at_m), units),
            above(water.height_m(&to.at_m), units)
        ));
    }
}

fn above(height_m: f64, units: crate::quantity::UnitSystem) -> String {
    let length = show(height_m.abs(), Dimension::Length, units);
    let side = if height_m < 0.0 { "under" } else { "above" };
    format!("{length} {side} the water")
}

fn height_line(ui: &mut Ui, state: &ViewerState, name: &str) {
    let openings = &state.readings().openings;
    if let Some(opening) = openings.iter().find(|opening| opening.name == name) {
        let height = opening.freeboard_m.map_or_else(
            || "sinks".to_owned(),
            |height_m| format!("sill {}", above(height_m, state.units)),
        );
        ui.label(format!("{height}: {}", opening.verdict.word()));
    }
}

/// The figures of a thing made here.
fn figures(ui: &mut Ui, state: &mut ViewerState, made: &Made) {
    ui.separator();
    ui.strong(&made.name);
    if !made.is_whole() {
        ui.label(format!(
            "{} of {LEAST_POINTS} points or more",
            made.points_m.len()
        ));
    }
    if made.kind.is_opening() {
        height_line(ui, state, &made.name);
    }
    let (unit, unit_name) = length_unit(state.units);
    let mut set = None;
    egui::Grid::new("figures").num_columns(2).show(ui, |ui| {
        for (number, (figure, value)) in made.kind.figures().iter().zip(&made.figures).enumerate() {
            let (unit, unit_name) = match figure.is {
                Is::Angle => (1.0, "°"),
                _ => (unit, unit_name),
            };
            let mut typed = value / unit;
            let drag = egui::DragValue::new(&mut typed)
                .speed(if figure.is == Is::Angle {
                    0.5
                } else {
                    2e-3 / unit
                })
                .max_decimals(1)
                .suffix(unit_name);
            ui.label(figure.name);
            if ui.add(drag).changed() {
                set = Some((number, typed * unit));
            }
            ui.end_row();
        }
        if made.on_skin().is_some()
            && let Some(sill_m) = state.sill_m(&made.name)
        {
            // What the skin cannot give is not asked again at every frame.
            let mut typed = (sill_m / unit * 10.0).round() / 10.0 + 0.0;
            let shown = typed;
            let drag = egui::DragValue::new(&mut typed)
                .speed(2e-3 / unit)
                .max_decimals(1)
                .suffix(unit_name);
            ui.label("sill above the water");
            if ui.add(drag).changed() && (typed - shown).abs() > 1e-9 {
                state.raise_sill(&made.name, typed * unit);
            }
            ui.end_row();
        }
    });
    if let Some((number, value)) = set {
        state.set_figure(&made.name, number, value);
    }
    if made.kind.goes_on_opening() {
        ui.label(format!("on {}", made.on));
    }
    gained(ui, state, &made.name);
    ui.horizontal(|ui| {
        if made.kind.is_opening() {
            let mut covered = made.state == OpeningState::Covered;
            if ui.checkbox(&mut covered, "covered").changed() {
                state.change(|edits, subject| edits.cover(subject, &made.name, covered));
                state.let_go();
            }
        }
        take_out(ui, state, &Chosen::Made(made.name.clone()));
    });
}

fn take_out(ui: &mut Ui, state: &mut ViewerState, chosen: &Chosen) {
    if ui.button("Take it out").clicked() {
        state.take_out(chosen);
    }
}

fn gained(ui: &mut Ui, state: &ViewerState, name: &str) {
    let Some([mass_kg, deeper_m, higher_m]) = state.gained(name) else {
        return;
    };
    let length = |m: f64| show(m.abs(), Dimension::Length, state.units);
    let deeper = if deeper_m < 0.0 { "higher" } else { "deeper" };
    let higher = if higher_m < 0.0 { "lower" } else { "higher" };
    ui.label(format!(
        "Since it was made: {} more, {} {deeper}, the lowest way in {} {higher}",
        show(mass_kg, Dimension::Mass, state.units),
        length(deeper_m),
        length(higher_m)
    ));
}

/// A thing aboard.
fn thing(ui: &mut Ui, state: &mut ViewerState, number: usize) {
    let Some(edit) = state.edits().items.get(number).cloned() else {
        return;
    };
    let name = match &edit.stowed {
        Some(stowed) => stowed.name.clone(),
        None => match state.file().items.get(number) {
            Some(item) => item.name.clone(),
            None => return,
        },
    };
    ui.separator();
    ui.strong(&name);
    let (unit, unit_name) = mass_unit(state.units);
    ui.horizontal(|ui| {
        let mut typed = edit.mass_kg / unit;
        let drag = egui::DragValue::new(&mut typed)
            .speed(0.1)
            .range(0.001..=10_000.0)
            .max_decimals(2)
            .suffix(unit_name);
        ui.label("weighs");
        if ui.add_enabled(edit.aboard, drag).changed() {
            state.change(|edits, _| edits.weigh_item(number, typed * unit));
        }
    });
    let Some(stowed) = edit.stowed else {
        return;
    };
    if stowed.cargo == Cargo::Person {
        let poses = [
            (Pose::Sits, "sits"),
            (Pose::Leans(true), "leans to port"),
            (Pose::Leans(false), "leans to starboard"),
            (Pose::StepsIn(true), "steps in at port"),
            (Pose::StepsIn(false), "steps in at starboard"),
        ];
        ui.horizontal_wrapped(|ui| {
            for (pose, name) in poses {
                if ui.selectable_label(stowed.pose == pose, name).clicked() {
                    state.pose(number, pose);
                }
            }
        });
    }
    gained(ui, state, &name);
    take_out(ui, state, &Chosen::Item(number));
}

/// A part of the file.
fn part(ui: &mut Ui, state: &mut ViewerState, name: &str) {
    ui.separator();
    ui.strong(name);
    let parts = &state.subject().boat.parts;
    let mass = parts.iter().find(|part| part.name == name);
    if let Some(mass) = mass.and_then(|part| part.mass.as_ref()) {
        ui.label(format!(
            "weighs {}",
            show(mass.mass_kg, Dimension::Mass, state.units)
        ));
    }
    if ui.button("Take it off").clicked() {
        state.change(|edits, _| {
            edits.parts_off.insert(name.to_owned());
        });
        state.let_go();
        state.chosen = None;
    }
}
