//! Boat files: save, open, and what is asked before.
use std::path::Path;

use kiss3d::egui::{self, Ui, vec2};

use super::{Desk, NotSaved, ViewerState};
use crate::viewer::shown::Asks;

/// Height of the list of files, points.
const LIST: f32 = 240.0;

/// Save, open, picture, report.
pub(super) fn file(ui: &mut Ui, state: &mut ViewerState, desk: &mut dyn Desk) {
    ui.label(state.subject().path.display().to_string());
    ui.horizontal(|ui| {
        let name = ui.add(egui::TextEdit::singleline(&mut state.save_as).desired_width(150.0));
        name.on_hover_text("Name of the new boat file; the one it starts from is never changed");
        if ui.button("Save as a new boat").clicked() {
            save(state, desk, false);
        }
    });
    ui.horizontal_wrapped(|ui| {
        if ui.button("Open …").clicked() {
            let folder = state.subject().path.parent().unwrap_or(Path::new(""));
            let folder = folder.to_owned();
            let listed = desk.list(&folder);
            state.asks = Some(Asks::Which(folder, listed));
        }
        if ui.button("Save picture").clicked() {
            state.wants_picture = true;
        }
        if ui.button("Write report").clicked() {
            let job = desk.report(state);
            state.start_job(job);
        }
    });
}

/// Saves, and says so.
fn save(state: &mut ViewerState, desk: &mut dyn Desk, replace: bool) -> bool {
    state.asks = None;
    if let Some(why) = state.refused() {
        state.message = format!("Not saved: {why}");
        return false;
    }
    match desk.save(state, replace) {
        Ok(done) => {
            state.message = done;
            state.note_saved();
            return true;
        }
        Err(NotSaved::InTheWay(what)) => state.asks = Some(Asks::Replace(what)),
        Err(NotSaved::Because(why)) => state.message = format!("Not saved: {why}"),
    }
    false
}

/// Questions that are open.
pub(super) fn dialogues(ctx: &egui::Context, state: &mut ViewerState, desk: &mut dyn Desk) {
    if std::mem::take(&mut state.wants_saving) {
        save(state, desk, false);
    }
    let Some(asks) = state.asks.clone() else {
        return;
    };
    let title = match &asks {
        Asks::Replace(_) => "Replace it?",
        Asks::Leave(_) => "Not saved yet",
        Asks::Which(..) => "Open",
    };
    egui::Window::new(title)
        .id(egui::Id::new("asks"))
        .collapsible(false)
        .resizable(false)
        .anchor(egui::Align2::CENTER_CENTER, vec2(0.0, 0.0))
        .show(ctx, |ui| match asks {
            Asks::Replace(what) => {
                ui.label(what);
                ui.horizontal(|ui| {
                    if ui
                        .button("Replace it, keep the old one beside it")
                        .clicked()
                    {
                        save(state, desk, true);
                    }
                    if ui.button("Leave it as it is").clicked() {
                        state.asks = None;
                    }
                });
            }
            Asks::Leave(then) => {
                ui.label("What was changed here is not saved.");
                ui.horizontal(|ui| {
                    if ui.button("Save first").clicked() && save(state, desk, false) {
                        leave(state, then.clone());
                    }
                    if ui.button("Leave without saving").clicked() {
                        leave(state, then);
                    }
                    if ui.button("Stay here").clicked() {
                        state.asks = None;
                    }
                });
            }
            Asks::Which(folder, listed) => which(ui, state, desk, &folder, &listed),
        });
}

fn leave(state: &mut ViewerState, then: Option<std::path::PathBuf>) {
    state.asks = None;
    match then {
        Some(path) => state.opens = Some(path),
        None => state.closes = true,
    }
}

/// Folders, boat files and meshes to choose from.
fn which(
    ui: &mut Ui,
    state: &mut ViewerState,
    desk: &mut dyn Desk,
    folder: &Path,
    listed: &[std::path::PathBuf],
) {
    ui.label(folder.display().to_string());
    let mut go = None;
    egui::ScrollArea::vertical()
        .max_height(LIST)
        .show(ui, |ui| {
            ui.set_min_width(320.0);
            if ui.button("one folder up").clicked() {
                go = std::path::absolute(folder)
                    .ok()
                    .and_then(|full| full.parent().map(Path::to_owned));
            }
            for path in listed {
                let name = path.file_name().unwrap_or_default().to_string_lossy();
                let text = match path.is_dir() {
                    true => format!("{name}/"),
                    false => name.into_owned(),
                };
                if ui.button(text).clicked() {
                    go = Some(path.clone());
                }
            }
        });
    if ui.button("Cancel").clicked() {
        state.asks = None;
    }
    match go {
        Some(path) if path.is_dir() => {
            let listed = desk.list(&path);
            state.asks = Some(Asks::Which(path, listed));
        }
        Some(path) => state.ask_to_open(path),
        None => {}
    }
}
