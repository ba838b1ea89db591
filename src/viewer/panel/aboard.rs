//! Things aboard, and parts.
use super::{Ui, Vec3, ViewerState, egui, length_unit, mass_unit};

/// What is done to an item.
enum Done {
    Aboard(bool),
    Weighed(f64),
    Moved(Vec3),
}

/// Every item: aboard or not, its mass, its place.
pub(super) fn items(ui: &mut Ui, state: &mut ViewerState) {
    let (length, length_name) = length_unit(state.units);
    let (mass, mass_name) = mass_unit(state.units);
    let of_file = state.file().items.iter();
    let of_file = of_file.map(|item| item.name.clone());
    let stowed = state
        .edits()
        .stowed()
        .filter_map(|item| item.stowed.as_ref());
    let names: Vec<String> = of_file
        .chain(stowed.map(|stowed| stowed.name.clone()))
        .collect();
    for (index, name) in names.iter().enumerate() {
        let Some(edit) = state.edits().items.get(index) else {
            continue;
        };
        let mut done = None;
        ui.push_id(index, |ui| {
            ui.horizontal(|ui| {
                let mut aboard = edit.aboard;
                if ui.checkbox(&mut aboard, name).changed() {
                    done = Some(Done::Aboard(aboard));
                }
                let mut typed = edit.mass_kg / mass;
                let drag = egui::DragValue::new(&mut typed)
                    .speed(0.1)
                    .range(0.001..=10_000.0)
                    .max_decimals(2)
                    .suffix(mass_name);
                if ui.add_enabled(edit.aboard, drag).changed() {
                    done = Some(Done::Weighed(typed * mass));
                }
            });
            ui.horizontal(|ui| {
                for (axis, axis_name) in [(0, "x "), (1, "y "), (2, "z ")] {
                    let mut typed = edit.at_m[axis] / length;
                    let drag = egui::DragValue::new(&mut typed)
                        .speed(5e-3 / length)
                        .max_decimals(1)
                        .prefix(axis_name)
                        .suffix(length_name);
                    if ui.add_enabled(edit.aboard, drag).changed() {
                        let mut at = edit.at_m;
                        at[axis] = typed * length;
                        done = Some(Done::Moved(at));
                    }
                }
            });
        });
        if let Some(done) = done {
            state.change(|edits, _| match done {
                Done::Aboard(aboard) => edits.take_aboard(index, aboard),
                Done::Weighed(mass_kg) => edits.weigh_item(index, mass_kg),
                Done::Moved(at_m) => edits.move_item(index, &at_m),
            });
        }
    }
}

/// The boat file as it stands, or one of its loading conditions.
pub(super) fn load_condition(ui: &mut Ui, state: &mut ViewerState) {
    let now = state.edits().condition.clone();
    let mut chosen = None;
    let conditions = state.file().conditions.clone();
    ui.horizontal_wrapped(|ui| {
        let as_it_stands = ui.selectable_label(now.is_none(), "as the file stands");
        if as_it_stands.clicked() {
            chosen = Some(None);
        }
        for name in &conditions {
            if ui
                .selectable_label(now.as_ref() == Some(name), name)
                .clicked()
            {
                chosen = Some(Some(name.as_str()));
            }
        }
    });
    if let Some(condition) = chosen {
        state.choose_condition(condition);
    }
    if state.awaits_condition() {
        ui.horizontal(|ui| {
            ui.spinner();
            ui.weak("loading it so …");
        });
    }
}

/// Every part: on or off.
pub(super) fn parts(ui: &mut Ui, state: &mut ViewerState) {
    let names: Vec<String> = state
        .file()
        .parts
        .iter()
        .map(|part| part.name.clone())
        .collect();
    for name in names {
        let mut on = !state.edits().parts_off.contains(&name);
        if ui.checkbox(&mut on, &name).changed() {
            state.change(|edits, _| {
                if on {
                    edits.parts_off.remove(&name);
                } else {
                    edits.parts_off.insert(name.clone());
                }
            });
            state.let_go();
        }
    }
}
