//! A raw scan: what was found, and the steps that mend it.
use kiss3d::egui::{self, Color32, Id, Order, RichText, Sense, vec2};

use super::{BAND_HEIGHT, PANEL_WIDTH};
use crate::viewer::scan::{ScanState, Step};

/// Length that a hull is scaled to when that is first asked for, m.
const LENGTH_M: f64 = 3.0;
/// Holes filled when that is first asked for, shorter round than this, m: a hand's breadth
/// square. Ours.
const FILL_UNDER_M: f64 = 0.4;

/// What is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScanAsks {
    /// To go on with it as a boat.
    GoOn,
}

/// Draws what was found of a scan and its steps.
pub fn scan_panel(ctx: &egui::Context, scan: &mut ScanState) -> Option<ScanAsks> {
    let mut asked = None;
    ctx.set_theme(egui::Theme::Light);
    let size = ctx.content_rect().size();
    let area = |name: &str, top: f32| {
        egui::Area::new(Id::new(name))
            .order(Order::Middle)
            .fixed_pos(egui::pos2(0.0, top))
            .sense(Sense::click_and_drag())
    };
    area("scan band", 0.0).show(ctx, |ui| {
        let paper = egui::Frame::side_top_panel(ui.style()).fill(Color32::WHITE);
        paper.show(ui, |ui| {
            let inner = vec2(size.x - 16.0, BAND_HEIGHT - 4.0);
            ui.set_min_size(inner);
            ui.set_max_size(inner);
            let found = scan.now.found.first().map_or("", String::as_str);
            ui.add(egui::Label::new(RichText::new(found).size(16.0).strong()).wrap());
        });
    });
    area("scan panel", BAND_HEIGHT).show(ctx, |ui| {
        egui::Frame::side_top_panel(ui.style()).show(ui, |ui| {
            let inner = vec2(PANEL_WIDTH - 18.0, size.y - BAND_HEIGHT - 8.0);
            ui.set_min_size(inner);
            ui.set_max_size(inner);
            egui::ScrollArea::vertical().show(ui, |ui| {
                ui.set_width(PANEL_WIDTH - 34.0);
                asked = steps(ui, scan);
            });
        });
    });
    asked
}

fn steps(ui: &mut egui::Ui, scan: &mut ScanState) -> Option<ScanAsks> {
    let mut asked = None;
    ui.label(scan.path.display().to_string());
    ui.label("A scan. Nothing done here changes its file.");
    ui.separator();
    ui.strong("Mend it: each step is done and shown at once");
    for step in Step::ALL {
        let mut on = scan.has(step);
        let name = match scan.is_proposed(step) {
            true => format!("{} (proposed)", step.name()),
            false => step.name().to_owned(),
        };
        if ui.checkbox(&mut on, name).changed() {
            scan.ask(step, on);
        }
    }
    length(
        ui,
        "length over all by tape",
        &mut scan.wanted.length_m,
        LENGTH_M,
        100.0,
        " cm",
    );
    let fill = &mut scan.wanted.recipe.fill_under_m;
    length(
        ui,
        "fill holes shorter round than",
        fill,
        FILL_UNDER_M,
        100.0,
        " cm",
    );
    ui.separator();
    if scan.is_busy() {
        ui.horizontal(|ui| {
            ui.spinner();
            ui.weak("mending …");
        });
    } else if ui.button("Go on with this hull").clicked() {
        asked = Some(ScanAsks::GoOn);
    }
    if !scan.message.is_empty() {
        ui.colored_label(Color32::from_rgb(176, 44, 24), &scan.message);
    }
    ui.separator();
    for line in scan.now.found.iter().skip(1) {
        ui.label(line);
    }
    asked
}

/// A length that is asked for or not; typed, it counts once it is let go.
fn length(
    ui: &mut egui::Ui,
    name: &str,
    value: &mut Option<f64>,
    begins_m: f64,
    units_a_metre: f64,
    unit: &str,
) {
    ui.horizontal(|ui| {
        let mut on = value.is_some();
        if ui.checkbox(&mut on, name).changed() {
            *value = on.then_some(begins_m);
        }
        if let Some(metres) = value {
            let mut typed = *metres * units_a_metre;
            let drag = egui::DragValue::new(&mut typed)
                .range(1.0..=3000.0)
                .max_decimals(1)
                .update_while_editing(false)
                .suffix(unit);
            let response = ui.add(drag);
            if response.changed() && !response.dragged() {
                *metres = typed / units_a_metre;
            }
        }
    });
}
