//! What the hand works with, over the picture: the way from the nearest sill to the water,
//! what is chosen, its handles, and places that were clicked.
use kiss3d::egui::{Align2, Color32, FontId, Painter, Pos2, Rect, Stroke, Vec2, vec2};

use super::answer::to_the_water;
use super::holed::rings;
use super::overlay::Canvas;
use super::shades::INK;
use super::state::ViewerState;
use super::tool::{Chosen, Grip};
use super::world::World;
use crate::boat::edges_of_rim;
use crate::numerics::Vec3;
use crate::quantity::{Dimension, show};

const CHOSEN: Color32 = Color32::from_rgb(0, 90, 200);
const MEASURED: Color32 = Color32::from_rgb(150, 60, 0);
const PAPER: Color32 = Color32::from_rgba_premultiplied(250, 250, 246, 244);
const TEXT: f32 = 15.0;
/// Half of the cross-strokes at a dimension line's ends, points.
const TICK: f32 = 7.0;
/// Shorter than this in the picture it has no arrow heads, points.
const LEAST_LINE: f32 = 16.0;
const HANDLE: f32 = 6.0;

/// Paints it all; says what texts cover.
pub(super) fn hand(
    painter: &Painter,
    state: &ViewerState,
    canvas: &Canvas<'_>,
    world: &World,
    room: &Rect,
) -> Vec<Rect> {
    let at = |place: &Vec3| canvas.at(&world.of_boat(place));
    chosen(painter, state, &at);
    let mut taken = Vec::new();
    if state.show.labels {
        taken.extend(dimension(painter, state, &at, room));
    }
    places(painter, state, &at);
    for handle in state.handles() {
        let Some(place) = at(&handle.at_m) else {
            continue;
        };
        let stroke = Stroke::new(2.0, CHOSEN);
        painter.circle(place, HANDLE, Color32::WHITE, stroke);
        if handle.grip == Grip::Middle {
            painter.circle_filled(place, 2.0, CHOSEN);
        }
        taken.push(Rect::from_center_size(
            place,
            Vec2::splat(2.0 * HANDLE + 4.0),
        ));
    }
    taken
}

/// From the nearest sill straight to the water.
fn dimension(
    painter: &Painter,
    state: &ViewerState,
    at: &impl Fn(&Vec3) -> Option<Pos2>,
    room: &Rect,
) -> Option<Rect> {
    let [sill, water] = to_the_water(state)?;
    let height_m = state.readings().plane.height_m(&sill);
    let (from, to) = (at(&sill)?, at(&water)?);
    let ink = Color32::from_rgb(INK[0], INK[1], INK[2]);
    let stroke = Stroke::new(2.5, ink);
    let wide = Stroke::new(5.0, Color32::WHITE);
    painter.line_segment([from, to], wide);
    painter.line_segment([from, to], stroke);
    for end in [from, to] {
        let tick = vec2(TICK, 0.0);
        painter.line_segment([end - tick, end + tick], stroke);
    }
    let way = to - from;
    if way.length() > 2.0 * LEAST_LINE {
        let along = way.normalized() * 8.0;
        let aside = vec2(-along.y, along.x) * 0.5;
        for (end, sense) in [(from, 1.0), (to, -1.0)] {
            for side in [-1.0, 1.0] {
                let barb: Vec2 = along * sense + aside * side;
                painter.line_segment([end, end + barb], stroke);
            }
        }
    }
    let text = show(height_m, Dimension::Length, state.units);
    let galley = painter.layout_no_wrap(text, FontId::proportional(TEXT), ink);
    let size = galley.size() + vec2(8.0, 4.0);
    let middle = from + way / 2.0;
    let left = (middle.x + 10.0).clamp(room.left(), room.right() - size.x);
    let top = (middle.y - size.y / 2.0).clamp(room.top(), room.bottom() - size.y);
    let rect = Rect::from_min_size(Pos2::new(left, top), size);
    painter.rect_filled(rect, 3.0, PAPER);
    painter.galley(rect.min + vec2(4.0, 2.0), galley, ink);
    Some(rect)
}

/// The rim of what is chosen, and an edge that is still being drawn.
fn chosen(painter: &Painter, state: &ViewerState, at: &impl Fn(&Vec3) -> Option<Pos2>) {
    let line = |ring: &[Vec3], closed: bool| {
        let mut seen: Vec<Pos2> = ring.iter().filter_map(at).collect();
        if closed {
            seen.extend(seen.first().copied());
        }
        painter.line(seen, Stroke::new(3.0, CHOSEN));
    };
    let name = match &state.chosen {
        Some(Chosen::Opening(name) | Chosen::Made(name)) => name,
        Some(Chosen::Item(number)) => {
            let item = state.aboard().items.get(*number);
            if let Some(place) = item.and_then(|item| at(&item.at_m)) {
                painter.circle_stroke(place, 2.0 * HANDLE, Stroke::new(2.5, CHOSEN));
            }
            return;
        }
        Some(Chosen::Part(_)) | None => return,
    };
    let openings = &state.subject().boat.openings;
    if let Some(opening) = openings.iter().find(|opening| opening.name == *name) {
        let closed = rings(&opening.rim);
        for ring in &closed {
            line(ring, true);
        }
        if closed.is_empty() {
            for edge in edges_of_rim(&opening.rim).0 {
                line(&edge, false);
            }
        }
    }
    if let Some(made) = state.chosen_made().filter(|made| !made.is_whole()) {
        line(&made.points_m, false);
    }
}

/// Places clicked, and the way between two.
fn places(painter: &Painter, state: &ViewerState, at: &impl Fn(&Vec3) -> Option<Pos2>) {
    let stroke = Stroke::new(2.0, MEASURED);
    let seen: Vec<Pos2> = state.picked.iter().filter_map(|p| at(&p.at_m)).collect();
    for place in &seen {
        for arm in [vec2(7.0, 0.0), vec2(0.0, 7.0)] {
            painter.line_segment([*place - arm, *place + arm], stroke);
        }
    }
    if let ([from, to], [a, b]) = (seen.as_slice(), state.picked.as_slice()) {
        painter.line_segment([*from, *to], stroke);
        let text = show((b.at_m - a.at_m).norm(), Dimension::Length, state.units);
        let middle = *from + (*to - *from) / 2.0 + vec2(0.0, -12.0);
        let font = FontId::proportional(TEXT);
        let galley = painter.layout_no_wrap(text.clone(), font.clone(), MEASURED);
        let rect = Rect::from_center_size(middle, galley.size() + vec2(8.0, 4.0));
        painter.rect_filled(rect, 3.0, PAPER);
        painter.text(middle, Align2::CENTER_CENTER, text, font, MEASURED);
    }
}
