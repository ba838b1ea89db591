//! The panel: what is read off and what can be changed. Needs no window.
use kiss3d::egui::{self, Id, Order, Sense, Ui, vec2};

use super::marks::Sign;
use super::overlay::paint_sign;
use super::shown::{Before, SectionPlane, Show};
use super::state::ViewerState;
use super::view::View;
use crate::boat::OpeningState;
use crate::numerics::Vec3;
use crate::quantity::{Dimension, UnitSystem, show};
use crate::study::{OpeningVerdict, direction_in_words};

mod aboard;
mod film;
mod reading;
mod section;

pub(super) use reading::{common_in_text, readings_in_text};

/// Width of the panel, points.
pub const PANEL_WIDTH: f32 = 420.0;
/// Metres in an inch.
const INCH_M: f64 = 0.0254;
/// Kilograms in a pound.
const POUND_KG: f64 = 0.453_592_37;

/// Writes what was changed as a boat file of the name in `save_as`; a message
/// for the user either way.
pub type SaveAs<'a> = &'a mut dyn FnMut(&ViewerState) -> Result<String, String>;

/// Draws the panel and follows what is done on it. Gives a view that was asked
/// for.
pub fn panel(ctx: &egui::Context, state: &mut ViewerState, save: SaveAs<'_>) -> Option<View> {
    let mut asked = None;
    ctx.set_theme(egui::Theme::Light);
    let height = ctx.content_rect().height();
    egui::Area::new(Id::new("panel"))
        .order(Order::Middle)
        .fixed_pos(egui::pos2(0.0, 0.0))
        .sense(Sense::click_and_drag())
        .show(ctx, |ui| {
            egui::Frame::side_top_panel(ui.style()).show(ui, |ui| {
                let inner = vec2(PANEL_WIDTH - 18.0, height - 8.0);
                ui.set_min_size(inner);
                ui.set_max_size(inner);
                egui::ScrollArea::vertical().show(ui, |ui| {
                    ui.set_width(PANEL_WIDTH - 34.0);
                    ui.spacing_mut().slider_width = 170.0;
                    asked = sections(ui, state, save);
                });
            });
        });
    if state.show.help {
        help(ctx);
    }
    // What is dragged or typed in one go is one step to undo.
    let still_at_it =
        state.in_hand || ctx.input(|input| input.pointer.any_down()) || ctx.text_edit_focused();
    if !still_at_it {
        state.let_go();
    }
    asked
}

fn sections(ui: &mut Ui, state: &mut ViewerState, save: SaveAs<'_>) -> Option<View> {
    reading::readings(ui, state);
    ui.separator();
    lie(ui, state);
    ui.separator();
    openings(ui, state);
    ui.separator();
    let asked = drawn(ui, state);
    keep(ui, state, save);
    ui.separator();
    let fold = |name: &str, open: bool| egui::CollapsingHeader::new(name).default_open(open);
    fold("Pushed under", false).show(ui, |ui| film::film(ui, state));
    fold("Section", false).show(ui, |ui| section::section_panel(ui, state));
    if !state.subject().file.parts.is_empty() {
        fold("Parts", true).show(ui, |ui| aboard::parts(ui, state));
    }
    if !state.file().conditions.is_empty() {
        fold("Loading condition", true).show(ui, |ui| aboard::load_condition(ui, state));
    }
    fold("Aboard", true).show(ui, |ui| aboard::items(ui, state));
    asked
}

/// A slider over a value; gives what it was moved to. A slider rounds what it
/// shows, which is no move.
fn slider(
    ui: &mut Ui,
    name: &str,
    value: f64,
    range: std::ops::RangeInclusive<f64>,
    unit: &str,
) -> Option<f64> {
    // Plus nought: minus nought is no number to show.
    let shown = (value * 10.0).round() / 10.0 + 0.0;
    let mut moved = shown;
    let slider = egui::Slider::new(&mut moved, range)
        .text(name)
        .suffix(unit)
        .max_decimals(1);
    let response = ui.add(slider);
    (response.changed() && (moved - shown).abs() > 1e-9).then_some(moved)
}

/// How it lies, and by whose hand.
fn lie(ui: &mut Ui, state: &mut ViewerState) {
    let held = state.held();
    let (unit, name) = length_unit(state.units);
    let most = state.most_sinkage_m() / unit;
    let heel = slider(
        ui,
        "heel, starboard down +",
        held.heel_deg,
        -90.0..=90.0,
        "°",
    );
    let pitch = slider(ui, "pitch, bow up +", held.pitch_deg, -30.0..=30.0, "°");
    let sinkage = held.sinkage_m / unit;
    let sinkage = slider(ui, "sinkage from rest", sinkage, -most..=most, name);
    if let Some(heel_deg) = heel {
        state.hold_heel(heel_deg);
    }
    if let Some(pitch_deg) = pitch {
        state.hold_pitch(pitch_deg);
    }
    if let Some(sinkage) = sinkage {
        state.hold_sinkage(sinkage * unit);
    }
    let mut follows = held.sinkage_follows;
    if ui
        .checkbox(&mut follows, "sinkage follows the weight")
        .changed()
    {
        state.let_sinkage_follow(follows);
    }
    ui.horizontal(|ui| {
        if ui.button("Let it float").clicked() {
            state.let_it_float();
        }
        if ui.button("Set upright and let go").clicked() {
            state.set_upright();
        }
    });
}

/// Every opening: sign, height, verdict, and whether it is covered.
fn openings(ui: &mut Ui, state: &mut ViewerState) {
    ui.strong("Openings: sill above the water");
    let was: Vec<Option<f64>> = state
        .readings()
        .openings
        .iter()
        .map(|opening| height_before(state, &opening.name))
        .collect();
    let mut covers = Vec::new();
    egui::Grid::new("openings")
        .num_columns(4)
        .spacing([8.0, 4.0])
        .show(ui, |ui| {
            for (opening, was) in state.readings().openings.iter().zip(was) {
                let mut covered = opening.state == OpeningState::Covered;
                ui.horizontal(|ui| {
                    let (rect, _) = ui.allocate_exact_size(vec2(16.0, 16.0), Sense::hover());
                    paint_sign(ui.painter(), Sign::of(opening.verdict), rect.center(), 5.5);
                    ui.label(&opening.name);
                });
                let height = opening.freeboard_m.map_or_else(
                    || "sinks".to_owned(),
                    |height| show(height, Dimension::Length, state.units),
                );
                ui.label(match was {
                    Some(was) => format!(
                        "{height} (was {})",
                        show(was, Dimension::Length, state.units)
                    ),
                    None => height,
                });
                ui.label(opening.verdict.word());
                let by_part = state.subject().is_closed_by_part(&opening.name);
                if ui
                    .add_enabled(!by_part, egui::Checkbox::new(&mut covered, "cover"))
                    .on_hover_text(&opening.place)
                    .changed()
                {
                    covers.push((opening.name.clone(), covered));
                }
                ui.end_row();
            }
        });
    for (name, covered) in covers {
        state.change(|edits, subject| edits.cover(subject, &name, covered));
        state.let_go();
    }
}

/// Height of an opening of this name before, m.
fn height_before(state: &ViewerState, name: &str) -> Option<f64> {
    let before = &state.ghost()?.readings.openings;
    before
        .iter()
        .find(|opening| opening.name == name)?
        .freeboard_m
}

/// Switches of what is drawn, and views.
fn drawn(ui: &mut Ui, state: &mut ViewerState) -> Option<View> {
    let has_ghost = state.ghost().is_some();
    let Show {
        water,
        items,
        labels,
        before,
        see_through,
        ..
    } = &mut state.show;
    ui.horizontal_wrapped(|ui| {
        ui.checkbox(water, "water");
        ui.checkbox(items, "things aboard");
        ui.checkbox(labels, "names and heights");
        ui.checkbox(see_through, "see through the hull");
    });
    if has_ghost {
        ui.horizontal_wrapped(|ui| {
            ui.label("As it was before:");
            for how in Before::ALL {
                ui.selectable_value(before, how, how.name());
            }
        });
    }
    let mut asked = None;
    ui.horizontal_wrapped(|ui| {
        ui.label("Look from");
        for view in View::ALL {
            if ui.button(view.name()).clicked() {
                asked = Some(view);
            }
        }
    });
    asked
}

/// Undo, redo, save, help.
fn keep(ui: &mut Ui, state: &mut ViewerState, save: SaveAs<'_>) {
    let (past, future) = state.steps();
    ui.horizontal(|ui| {
        if ui
            .add_enabled(past > 0, egui::Button::new("Undo"))
            .clicked()
        {
            state.undo();
        }
        if ui
            .add_enabled(future > 0, egui::Button::new("Redo"))
            .clicked()
        {
            state.redo();
        }
        if ui.button("Keys and mouse").clicked() {
            state.show.help = !state.show.help;
        }
    });
    ui.horizontal(|ui| {
        let name = ui.add(egui::TextEdit::singleline(&mut state.save_as).desired_width(180.0));
        name.on_hover_text("Name of the new boat file; the old one is never changed");
        if ui.button("Save as a new boat").clicked() {
            state.message = match save(state) {
                Ok(done) => done,
                Err(why) => format!("Not saved: {why}"),
            };
        }
    });
    if !state.message.is_empty() {
        ui.label(state.message.clone());
    }
}

/// What keys and mouse do.
fn help(ctx: &egui::Context) {
    const LINES: [(&str, &str); 15] = [
        ("drag", "turn the view"),
        ("right button, drag", "shift the view"),
        ("wheel", "nearer, farther"),
        (
            "drag a lozenge",
            "move that thing along the hull, its height kept",
        ),
        ("1 2 3 4 5 6", "quarter, side, top, bow, stern, below"),
        ("F", "let it float from where it is"),
        ("U", "set it upright and let go"),
        ("Ctrl Z, Ctrl Y", "undo, redo what was changed on the boat"),
        ("W", "water on or off"),
        ("I", "things aboard on or off"),
        ("L", "names and heights on or off"),
        ("G", "as it was before: ghost, side by side, hidden"),
        ("X", "see through the hull"),
        ("H", "this sheet"),
        ("Esc", "close this sheet"),
    ];
    egui::Window::new("Keys and mouse")
        .id(Id::new("help"))
        .collapsible(false)
        .resizable(false)
        .anchor(egui::Align2::CENTER_CENTER, vec2(PANEL_WIDTH / 2.0, 0.0))
        .show(ctx, |ui| {
            egui::Grid::new("keys").num_columns(2).show(ui, |ui| {
                for (key, does) in LINES {
                    ui.strong(key);
                    ui.label(does);
                    ui.end_row();
                }
            });
        });
}

/// Unit that lengths are typed in, m, and its name.
fn length_unit(units: UnitSystem) -> (f64, &'static str) {
    match units {
        UnitSystem::Us => (INCH_M, " in"),
        UnitSystem::Metric | UnitSystem::Both => (1e-3, " mm"),
    }
}

/// Unit that masses are typed in, kg, and its name.
fn mass_unit(units: UnitSystem) -> (f64, &'static str) {
    match units {
        UnitSystem::Us => (POUND_KG, " lb"),
        UnitSystem::Metric | UnitSystem::Both => (1.0, " kg"),
    }
}
