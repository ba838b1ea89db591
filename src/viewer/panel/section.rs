//! A section and its curve.
use super::{SectionPlane, Ui, ViewerState, egui, length_unit, slider, vec2};
use crate::numerics::Vec3;
use crate::viewer::cut::section;
use kiss3d::egui::{Color32, Sense, Stroke, pos2};

/// Height of the curve's drawing, points.
const HIGH: f32 = 150.0;
const CURVE: Color32 = Color32::from_rgb(116, 38, 166);
/// Names of the planes by the axis they lie across.
const PLANES: [&str; 3] = ["across, at x", "lengthwise, at y", "level, at z"];
/// The two axes that such a plane is drawn in, to the right and up; port lies to
/// the left, as seen from astern.
const DRAWN_IN: [(usize, usize, f64); 3] = [(1, 2, -1.0), (0, 2, 1.0), (0, 1, 1.0)];

/// Chooses a section and draws its curve.
pub(super) fn section_panel(ui: &mut Ui, state: &mut ViewerState) {
    let (lo, hi) = state.subject().boat.hull_box_m;
    ui.horizontal(|ui| {
        if ui
            .selectable_label(state.show.section.is_none(), "none")
            .clicked()
        {
            state.show.section = None;
        }
        for (axis, name) in PLANES.iter().enumerate() {
            let chosen = state.show.section.is_some_and(|plane| plane.axis == axis);
            if ui.selectable_label(chosen, *name).clicked() {
                let at_m = f64::midpoint(lo[axis], hi[axis]);
                state.show.section = Some(SectionPlane { axis, at_m });
            }
        }
    });
    let Some(mut plane) = state.show.section else {
        return;
    };
    let (unit, name) = length_unit(state.units);
    let range = lo[plane.axis] / unit..=hi[plane.axis] / unit;
    if let Some(at) = slider(ui, "section at", plane.at_m / unit, range, name) {
        plane.at_m = at * unit;
        state.show.section = Some(plane);
    }
    curve(ui, state, &plane, &(lo, hi));
}

fn curve(ui: &mut Ui, state: &ViewerState, plane: &SectionPlane, around: &(Vec3, Vec3)) {
    let boat = &state.subject().boat;
    let lines = section(&boat.envelope.surface, boat.skin_faces, plane);
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), HIGH), Sense::hover());
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 4.0, Color32::WHITE);
    let (right, up, sign) = DRAWN_IN[plane.axis.min(2)];
    let (lo, hi) = around;
    let middle = (lo + hi) / 2.0;
    let inner = rect.shrink(8.0);
    let scale = (f64::from(inner.width()) / (hi[right] - lo[right]))
        .min(f64::from(inner.height()) / (hi[up] - lo[up]));
    #[expect(clippy::cast_possible_truncation, reason = "points on the screen")]
    let place = |p: &Vec3| {
        let x = sign * (p[right] - middle[right]) * scale;
        let y = (p[up] - middle[up]) * scale;
        rect.center() + vec2(x as f32, -y as f32)
    };
    // The water, where the plane shows it as a line.
    let water = &state.readings().plane;
    if water.up[up].abs() > 1e-3 {
        let at = |along: f64| {
            let mut p = Vec3::zeros();
            p[plane.axis] = plane.at_m;
            p[right] = along;
            p[up] = (water.level_m - water.up[plane.axis] * plane.at_m - water.up[right] * along)
                / water.up[up];
            place(&p)
        };
        let ends = [at(lo[right]), at(hi[right])];
        painter.line_segment(ends, Stroke::new(1.0, Color32::from_rgb(14, 60, 120)));
    }
    let stroke = Stroke::new(2.0, CURVE);
    for line in &lines.loops {
        painter.add(egui::Shape::closed_line(
            line.iter().map(place).collect(),
            stroke,
        ));
    }
    for line in &lines.open {
        painter.add(egui::Shape::line(line.iter().map(place).collect(), stroke));
    }
    let words = match plane.axis {
        0 => ["port", "starboard"],
        _ => ["stern", "bow"],
    };
    let ends = [
        (
            pos2(inner.left(), inner.bottom()),
            egui::Align2::LEFT_BOTTOM,
        ),
        (inner.right_bottom(), egui::Align2::RIGHT_BOTTOM),
    ];
    for (word, (at, align)) in words.iter().zip(ends) {
        let font = egui::FontId::proportional(11.0);
        painter.text(at, align, *word, font, Color32::DARK_GRAY);
    }
}
