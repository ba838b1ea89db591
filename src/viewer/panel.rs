//! The panel: what is read off and what can be changed. Needs no window.
use std::path::{Path, PathBuf};

use kiss3d::egui::{self, Id, Order, Sense, Ui, vec2};

use super::marks::Sign;
use super::overlay::paint_sign;
use super::scan::ScanState;
use super::shown::{Before, SectionPlane, Show};
use super::state::{Job, ViewerState};
use super::tool::Chosen;
use super::view::View;
use super::window::Opened;
use crate::boat::OpeningState;
use crate::numerics::Vec3;
use crate::quantity::{Dimension, UnitSystem, show};
use crate::study::{OpeningVerdict, direction_in_words};

mod aboard;
mod band;
mod files;
mod film;
mod reading;
mod scan;
mod section;
mod tools;

pub use scan::scan_panel;

pub(super) use reading::{common_in_text, readings_in_text};

/// Width of the panel, points.
pub const PANEL_WIDTH: f32 = 350.0;
/// Height of the band with the answer, points.
pub const BAND_HEIGHT: f32 = 66.0;
/// Metres in an inch.
const INCH_M: f64 = 0.0254;
/// Kilograms in a pound.
const POUND_KG: f64 = 0.453_592_37;

/// Why a boat file was not written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotSaved {
    /// A boat file of that name is there; it may be replaced.
    InTheWay(String),
    /// Anything else, in words.
    Because(String),
}

/// What is outside of the window: files.
pub trait Desk {
    /// Writes what was changed as a boat file of the name in `save_as`; the old one of that
    /// name is kept beside it where it may be replaced. A message for the user either way.
    ///
    /// # Errors
    /// [`NotSaved`].
    fn save(&mut self, state: &ViewerState, replace: bool) -> Result<String, NotSaved>;

    /// Writes a picture beside the boat file; a message for the user either way.
    ///
    /// # Errors
    /// Why not, in words.
    fn put_picture(&mut self, state: &ViewerState, png: &[u8]) -> Result<String, String>;

    /// How the report of the boat as changed is written beside its file.
    fn report(&mut self, state: &ViewerState) -> Job;

    /// Opens another boat, or a mesh.
    ///
    /// # Errors
    /// Why not, in words.
    fn open(&mut self, path: &Path) -> Result<Opened, String>;

    /// Writes a mended scan as a hull and a boat file to begin with, beside the scan; gives
    /// the boat file.
    ///
    /// # Errors
    /// Why not, in words.
    fn keep_hull(&mut self, scan: &ScanState) -> Result<PathBuf, String>;

    /// What can be opened in a folder: folders, boat files and meshes, by name.
    fn list(&mut self, folder: &Path) -> Vec<PathBuf>;
}

/// Draws band and panel and follows what is done on them. Gives a view that was asked for.
pub fn panel(ctx: &egui::Context, state: &mut ViewerState, desk: &mut dyn Desk) -> Option<View> {
    let mut asked = None;
    ctx.set_theme(egui::Theme::Light);
    band::band(ctx, state);
    let height = ctx.content_rect().height() - BAND_HEIGHT;
    if state.show.panel {
        egui::Area::new(Id::new("panel"))
            .order(Order::Middle)
            .fixed_pos(egui::pos2(0.0, BAND_HEIGHT))
            .sense(Sense::click_and_drag())
            .show(ctx, |ui| {
                egui::Frame::side_top_panel(ui.style()).show(ui, |ui| {
                    let inner = vec2(PANEL_WIDTH - 18.0, height - 8.0);
                    ui.set_min_size(inner);
                    ui.set_max_size(inner);
                    egui::ScrollArea::vertical().show(ui, |ui| {
                        ui.set_width(PANEL_WIDTH - 34.0);
                        ui.spacing_mut().slider_width = 100.0;
                        asked = sections(ui, state, desk);
                    });
                });
            });
    }
    if state.show.help {
        help(ctx);
    }
    files::dialogues(ctx, state, desk);
    // What is dragged or typed in one go is one step to undo.
    let still_at_it =
        state.in_hand || ctx.input(|input| input.pointer.any_down()) || ctx.text_edit_focused();
    if !still_at_it {
        state.let_go();
    }
    asked
}

fn sections(ui: &mut Ui, state: &mut ViewerState, desk: &mut dyn Desk) -> Option<View> {
    tools::tools(ui, state);
    tools::chosen(ui, state);
    ui.separator();
    keep(ui, state);
    ui.separator();
    openings(ui, state);
    ui.separator();
    let asked = drawn(ui, state);
    ui.separator();
    let fold = |name: &str, open: bool| egui::CollapsingHeader::new(name).default_open(open);
    fold("File", false).show(ui, |ui| files::file(ui, state, desk));
    fold("All readings", false).show(ui, |ui| reading::readings(ui, state));
    fold("Hold it over", false).show(ui, |ui| lie(ui, state));
    fold("Pushed under", false).show(ui, |ui| film::film(ui, state));
    fold("Section", false).show(ui, |ui| section::section_panel(ui, state));
    if !state.file().parts.is_empty() {
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
    let mut chosen = None;
    for (opening, was) in state.readings().openings.iter().zip(was) {
        let mut covered = opening.state == OpeningState::Covered;
        let made = state.edits().made.iter().any(|m| m.name == opening.name);
        let this = match made {
            true => Chosen::Made(opening.name.clone()),
            false => Chosen::Opening(opening.name.clone()),
        };
        ui.horizontal(|ui| {
            let (rect, _) = ui.allocate_exact_size(vec2(16.0, 16.0), Sense::hover());
            paint_sign(ui.painter(), Sign::of(opening.verdict), rect.center(), 5.5);
            let is_chosen = state.chosen.as_ref() == Some(&this);
            let name = ui.selectable_label(is_chosen, &opening.name);
            if name.on_hover_text(&opening.place).clicked() {
                chosen = Some(this);
            }
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                let by_part = state.subject().is_closed_by_part(&opening.name);
                let cover = egui::Checkbox::new(&mut covered, "cover");
                if ui.add_enabled(!by_part, cover).changed() {
                    covers.push((opening.name.clone(), covered));
                }
            });
        });
        let height = opening.freeboard_m.map_or_else(
            || "sinks".to_owned(),
            |height| show(height, Dimension::Length, state.units),
        );
        let was = was.map_or_else(String::new, |was| {
            format!(" (was {})", show(was, Dimension::Length, state.units))
        });
        ui.horizontal(|ui| {
            ui.add_space(24.0);
            ui.label(format!("{height}{was}: {}", opening.verdict.word()));
        });
    }
    if chosen.is_some() {
        state.chosen = chosen;
    }
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

/// Undo, redo, before and after, help, the message.
fn keep(ui: &mut Ui, state: &mut ViewerState) {
    let (past, future) = state.steps();
    let [last, next] = state.steps_in_words();
    let told = |what: Option<String>| what.filter(|what| !what.is_empty());
    ui.horizontal_wrapped(|ui| {
        let undo = ui.add_enabled(past > 0, egui::Button::new("Undo"));
        let redo = ui.add_enabled(future > 0, egui::Button::new("Redo"));
        if undo.clicked() {
            state.undo();
        }
        if redo.clicked() {
            state.redo();
        }
        let mut back = state.looks_back();
        let button = egui::Button::selectable(back, "As it was (B)");
        if ui.add_enabled(state.ghost().is_some(), button).clicked() {
            back = !back;
            state.look_back(back);
        }
        if ui.button("Help").clicked() {
            state.show.help = !state.show.help;
        }
    });
    if let Some(last) = told(last) {
        ui.weak(format!("Undo would take back: {last}"));
    }
    if let Some(next) = told(next) {
        ui.weak(format!("Redo would do again: {next}"));
    }
    if state.is_building() {
        ui.horizontal(|ui| {
            ui.spinner();
            ui.weak("joining the parts …");
        });
    }
    if let Some(why) = state.refused() {
        let red = egui::Color32::from_rgb(176, 44, 24);
        ui.colored_label(red, format!("This cannot be made: {why}"));
    } else if !state.message.is_empty() {
        ui.label(state.message.clone());
    }
}

/// What keys and mouse do.
fn help(ctx: &egui::Context) {
    const LINES: [(&str, &str); 22] = [
        (
            "click",
            "say what is there, or do what is picked on the left",
        ),
        (
            "drag a ring",
            "pull the middle, edge or end of what is chosen",
        ),
        ("Delete", "take out what is chosen, if it was made here"),
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
        ("Ctrl S", "save as a new boat"),
        ("V", "fit the boat into the picture"),
        ("W", "water on or off"),
        ("I", "things aboard on or off"),
        ("L", "names and heights on or off"),
        ("B", "as it was before, and back again"),
        ("G", "as it was before: ghost, side by side, hidden"),
        ("Tab", "panel on or off"),
        ("X", "see through the hull"),
        ("H", "this sheet"),
        ("Esc", "drop the tool, close this sheet"),
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
