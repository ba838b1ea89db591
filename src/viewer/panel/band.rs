//! The answer, always in sight.
use kiss3d::egui::{self, Color32, Id, Order, RichText, Sense, vec2};

use super::{BAND_HEIGHT, OpeningVerdict, Sign, ViewerState, paint_sign};
use crate::boat::Verdict;
use crate::viewer::answer::{sentence, weaker};

/// Size of the sentence and of the line under it, points.
const SENTENCE: f32 = 16.0;
const LINE: f32 = 14.0;

/// Draws the band: the sentence, and the weaker of lean and knock.
pub(super) fn band(ctx: &egui::Context, state: &mut ViewerState) {
    let width = ctx.content_rect().width();
    egui::Area::new(Id::new("band"))
        .order(Order::Middle)
        .fixed_pos(egui::pos2(0.0, 0.0))
        .sense(Sense::click_and_drag())
        .show(ctx, |ui| {
            let paper = egui::Frame::side_top_panel(ui.style()).fill(Color32::WHITE);
            paper.show(ui, |ui| {
                let inner = vec2(width - 16.0, BAND_HEIGHT - 4.0);
                ui.set_min_size(inner);
                ui.set_max_size(inner);
                ui.spacing_mut().item_spacing.y = 1.0;
                ui.horizontal_top(|ui| {
                    let name = if state.show.panel { "<" } else { ">" };
                    let button = ui.add_sized(vec2(20.0, 44.0), egui::Button::new(name));
                    if button.on_hover_text("panel on or off (Tab)").clicked() {
                        state.show.panel = !state.show.panel;
                    }
                    ui.vertical(|ui| lines(ui, state));
                });
            });
        });
}

fn lines(ui: &mut egui::Ui, state: &ViewerState) {
    let readings = state.readings();
    let worst = match readings.lowest() {
        _ if !readings.floats => Some(OpeningVerdict::UnderWater),
        lowest => lowest.map(|opening| opening.verdict),
    };
    row(ui, worst.map(Sign::of), &sentence(state), SENTENCE, true);
    let (text, verdict) = match weaker(state) {
        Some(found) => found,
        None if state.looks_back() => (String::new(), None),
        None => ("Looking for the weakest lean and knock …".to_owned(), None),
    };
    let sign = verdict.map(|verdict| match verdict {
        Verdict::Fail => Sign::Fails,
        Verdict::Marginal => Sign::Marginal,
        Verdict::Clear => Sign::Clear,
    });
    row(ui, sign, &text, LINE, false);
}

fn row(ui: &mut egui::Ui, sign: Option<Sign>, text: &str, size: f32, strong: bool) {
    ui.horizontal_top(|ui| {
        let (rect, _) = ui.allocate_exact_size(vec2(20.0, 20.0), Sense::hover());
        if let Some(sign) = sign {
            paint_sign(ui.painter(), sign, rect.center(), 6.5);
        }
        let text = RichText::new(text).size(size);
        let text = if strong { text.strong() } else { text };
        ui.add(egui::Label::new(text).wrap());
    });
}
