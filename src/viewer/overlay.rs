//! What is written and drawn flat over the picture.
use kiss3d::camera::OrbitCamera3d;
use kiss3d::egui::{
    self, Align2, Color32, FontId, Id, LayerId, Order, Painter, Pos2, Rect, Shape, Stroke, Vec2,
    pos2, vec2,
};
use kiss3d::glamx;
use kiss3d::window::Window;

use super::camera::{corners, in_picture, sight, world_before};
use super::marks::{Label, Sign, labels, labels_before};
use super::overlay_hand::hand;
use super::panel::{common_in_text, readings_in_text};
use super::shades::{INK, Shades};
use super::shown::Before;
use super::state::ViewerState;
use super::world::World;
use crate::numerics::Vec3;
use crate::quantity::UnitSystem;

const TEXT: f32 = 14.0;
const SIGN: f32 = 7.0;
const PAPER: Color32 = Color32::from_rgba_premultiplied(236, 238, 236, 238);
/// Sides named must lie this far from the hull's middle in the picture, points.
const LEAST_ASIDE: f32 = 60.0;
/// Width of the legend, points.
const LEGEND_WIDTH: f32 = 210.0;
/// Longest that the scale bar may get, points.
const LONGEST_BAR: f32 = 260.0;
/// Lengths of the bar that are tried, m, longest first, and what it then says.
const METRIC_BARS: [(f64, &str, u8); 4] = [
    (1.0, "1 m", 10),
    (0.5, "50 cm", 5),
    (0.1, "10 cm", 10),
    (0.01, "1 cm", 10),
];
const US_BARS: [(f64, &str, u8); 3] = [
    (0.9144, "3 ft", 3),
    (0.3048, "1 ft", 12),
    (0.0254, "1 in", 4),
];

/// The picture to write on: where the eye is and how large it is.
pub(super) struct Canvas<'a> {
    camera: &'a OrbitCamera3d,
    size: glamx::Vec2,
    scale: f32,
    /// Left edge of what is free of the panel, points.
    pub(super) left: f32,
    /// Top edge of what is free of the band, points.
    pub(super) top: f32,
    /// Where the boat before lies beside this one, in the world, m.
    pub(super) before_m: Option<Vec3>,
}

impl<'a> Canvas<'a> {
    pub(super) fn of(window: &Window, camera: &'a OrbitCamera3d) -> Self {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_precision_loss,
            reason = "pixels"
        )]
        let (size, scale) = (
            glamx::Vec2::new(window.width() as f32, window.height() as f32),
            window.scale_factor() as f32,
        );
        Self {
            camera,
            size,
            scale,
            left: 0.0,
            top: 0.0,
            before_m: None,
        }
    }

    /// Where a point of the world is, points.
    pub(super) fn at(&self, point: &Vec3) -> Option<Pos2> {
        in_picture(self.camera, self.size, self.scale, point)
    }

    fn rect(&self) -> Rect {
        let size = self.size / self.scale;
        Rect::from_min_max(pos2(self.left, self.top), pos2(size.x, size.y))
    }
}

/// Writes labels, signs, scale and legend.
pub(super) fn overlay(
    ctx: &egui::Context,
    state: &ViewerState,
    canvas: &Canvas<'_>,
    shades: &Shades,
) {
    let painter = ctx.layer_painter(LayerId::new(Order::Background, Id::new("over the picture")));
    let boat = &state.subject().boat;
    let room = canvas.rect().shrink(6.0);
    let mut taken = legend(&painter, &room, shades);
    taken.push(axes(&painter, &room, canvas));
    taken.extend(scale_bar(&painter, &room, canvas, state.units));
    let now = Placed {
        world: World::new(&state.readings().plane, &boat.hull_box_m),
        shift_m: Vec3::zeros(),
        hull_box_m: boat.hull_box_m,
    };
    let before = state.ghost().zip(canvas.before_m).map(|(ghost, shift_m)| {
        let placed = Placed {
            world: world_before(ghost),
            shift_m,
            hull_box_m: ghost.subject.boat.hull_box_m,
        };
        (ghost, placed)
    });
    if let Some((ghost, placed)) = &before {
        let names = [
            (format!("now: {}", boat.name), &now),
            (format!("before: {}", ghost.subject.boat.name), placed),
        ];
        for (name, placed) in names {
            taken.extend(placed.caption(&painter, canvas, &room, &name));
        }
    }
    taken.extend(hand(&painter, state, canvas, &now.world, &room));
    if !state.show.labels {
        return;
    }
    let mut own = labels(state);
    for label in &mut own {
        label.is_far = is_far(state, canvas, &now.world, label);
    }
    let mut placed = now.put(canvas, &room, own);
    if let Some((ghost, before)) = &before {
        let labels = labels_before(ghost, &state.show, state.units);
        placed.extend(before.put(canvas, &room, labels));
    }
    // No text over another's sign.
    let around = Vec2::splat(2.0 * SIGN);
    let signs = placed.iter().filter(|(label, _)| label.sign != Sign::Side);
    taken.extend(signs.map(|(_, at)| Rect::from_center_size(*at, around)));
    let (sides, others): (Vec<_>, Vec<_>) = placed
        .iter()
        .partition(|(label, _)| label.sign == Sign::Side);
    for (label, at) in sides.into_iter().chain(others) {
        taken.extend(write(&painter, label, *at, &room, &taken));
    }
    // Over signs of other things.
    hand(&painter, state, canvas, &now.world, &room);
}

/// Whether skin lies before an opening's sill as it is seen.
fn is_far(state: &ViewerState, canvas: &Canvas<'_>, world: &World, label: &Label) -> bool {
    /// Skin that lies before it by less than this share of the hull's length is its own rim's.
    const BEFORE_SHARE: f64 = 0.01;
    let is_opening = matches!(
        label.sign,
        Sign::Clear | Sign::Marginal | Sign::Fails | Sign::UnderWater | Sign::Covered
    );
    let Some(at) = canvas
        .at(&world.of_boat(&label.at_m))
        .filter(|_| is_opening)
    else {
        return false;
    };
    let pixel = [at.x, at.y].map(|c| f64::from(c * canvas.scale));
    let ray = sight(canvas.camera, canvas.size, (pixel[0], pixel[1]), world);
    let far_m = (label.at_m - ray.from_m).dot(&ray.along);
    let skin = state.subject().pick(&ray);
    let skin_m = skin.map(|picked| (picked.at_m - ray.from_m).norm());
    skin_m.is_some_and(|skin_m| skin_m < far_m - BEFORE_SHARE * state.subject().length_m())
}

/// A boat where it lies in the picture.
struct Placed {
    world: World,
    shift_m: Vec3,
    hull_box_m: (Vec3, Vec3),
}

impl Placed {
    fn at(&self, canvas: &Canvas<'_>, point: &Vec3) -> Option<Pos2> {
        canvas.at(&(self.world.of_boat(point) + self.shift_m))
    }

    /// The labels that have a place in the picture, and where.
    fn put(&self, canvas: &Canvas<'_>, room: &Rect, labels: Vec<Label>) -> Vec<(Label, Pos2)> {
        let (lo, hi) = self.hull_box_m;
        let above = Vec3::new(0.0, 0.0, 0.3 * (hi.z - lo.z));
        let middle = self.at(canvas, &((lo + hi) / 2.0 + above));
        let placed = labels.into_iter().filter_map(|label| {
            let at = self.at(canvas, &label.at_m)?;
            // A side that points at the eye has no place of its own.
            let hidden = label.sign == Sign::Side
                && middle.is_some_and(|middle| at.distance(middle) < LEAST_ASIDE);
            (room.contains(at) && !hidden).then_some((label, at))
        });
        placed.collect()
    }

    /// Writes the boat's name over it; says where.
    fn caption(
        &self,
        painter: &Painter,
        canvas: &Canvas<'_>,
        room: &Rect,
        name: &str,
    ) -> Option<Rect> {
        let seen = corners(&self.hull_box_m).map(|corner| self.at(canvas, &corner));
        let seen: Vec<Pos2> = seen.into_iter().flatten().collect();
        let around = Rect::from_points(&seen);
        if !around.is_finite() || !room.intersects(around) {
            return None;
        }
        let font = FontId::proportional(TEXT + 3.0);
        let galley = painter.layout_no_wrap(name.to_owned(), font, ink());
        let size = galley.size() + vec2(12.0, 6.0);
        if size.x > room.width() {
            return None;
        }
        // At the right end: a picture's card covers its upper left.
        let left = (around.right() - size.x).clamp(room.left(), room.right() - size.x);
        let top = (around.top() - 26.0 - size.y).max(room.top());
        let rect = Rect::from_min_size(pos2(left, top), size);
        painter.rect_filled(rect, 3.0, PAPER);
        painter.galley(rect.min + vec2(6.0, 3.0), galley, ink());
        Some(rect)
    }
}

fn ink() -> Color32 {
    let [r, g, b] = INK;
    Color32::from_rgb(r, g, b)
}

fn colour_of(sign: Sign) -> Color32 {
    match sign {
        Sign::Clear => Color32::from_rgb(24, 104, 84),
        Sign::Marginal => Color32::from_rgb(150, 96, 0),
        Sign::Fails => Color32::from_rgb(176, 44, 24),
        Sign::UnderWater => Color32::from_rgb(14, 60, 120),
        Sign::Covered => Color32::from_rgb(96, 96, 104),
        Sign::Item => Color32::from_rgb(60, 62, 70),
        Sign::Liquid => Color32::from_rgb(16, 64, 112),
        Sign::Gravity | Sign::Buoyancy | Sign::Metacentre | Sign::Side => ink(),
    }
}

/// Writes a label near its place where nothing else is; says where. It is left out rather
/// than written over others.
fn write(painter: &Painter, label: &Label, at: Pos2, room: &Rect, taken: &[Rect]) -> Option<Rect> {
    if label.sign != Sign::Side {
        // So that it shows on the dark of the hull under water.
        painter.circle_filled(at, SIGN + 4.0, PAPER);
    }
    paint_sign(painter, label.sign, at, SIGN);
    let colour = colour_of(label.sign);
    let mut text = label.text.clone();
    if label.is_far {
        // Hollow: what it shows lies behind the skin.
        painter.circle_filled(at, 0.5 * SIGN, PAPER);
        text.push_str(", far side");
    }
    let galley = painter.layout_no_wrap(text, FontId::proportional(TEXT), colour);
    let size = galley.size() + vec2(8.0, 4.0);
    if label.sign == Sign::Side {
        let rect = Rect::from_center_size(at, size);
        if taken.iter().any(|other| other.intersects(rect)) {
            return None;
        }
        painter.rect_filled(rect, 3.0, PAPER);
        painter.galley(rect.min + vec2(4.0, 2.0), galley, colour);
        return Some(rect);
    }
    let free =
        |rect: &Rect| room.contains_rect(*rect) && taken.iter().all(|t| !t.intersects(*rect));
    let place = (0..10_u8).find_map(|ring| {
        let off = 14.0 + 22.0 * f32::from(ring);
        let beside = vec2(14.0 + 6.0 * f32::from(ring), 0.0);
        [
            at + beside + vec2(0.0, -size.y / 2.0 - (off - 14.0)),
            at + beside + vec2(0.0, -size.y / 2.0 + (off - 14.0)),
            at - beside + vec2(-size.x, -size.y / 2.0 - (off - 14.0)),
            at - beside + vec2(-size.x, -size.y / 2.0 + (off - 14.0)),
        ]
        .map(|corner| Rect::from_min_size(corner, size))
        .into_iter()
        .find(free)
    });
    let rect = place?;
    let near = pos2(
        at.x.clamp(rect.left(), rect.right()),
        at.y.clamp(rect.top(), rect.bottom()),
    );
    painter.line_segment([at, near], Stroke::new(1.0, colour));
    painter.rect_filled(rect, 3.0, PAPER);
    painter.galley(rect.min + vec2(4.0, 2.0), galley, colour);
    Some(rect)
}

/// Paints the shape of a sign.
pub(super) fn paint_sign(painter: &Painter, sign: Sign, at: Pos2, r: f32) {
    let colour = colour_of(sign);
    let stroke = Stroke::new(2.0, colour);
    let white = Color32::WHITE;
    let triangle = |up: f32| {
        vec![
            at + vec2(0.0, -r * up),
            at + vec2(r, r * 0.8 * up),
            at + vec2(-r, r * 0.8 * up),
        ]
    };
    match sign {
        Sign::Clear => {
            painter.add(Shape::convex_polygon(triangle(1.0), colour, stroke));
        }
        Sign::Marginal => {
            painter.add(Shape::convex_polygon(triangle(1.0), white, stroke));
        }
        Sign::UnderWater => {
            painter.add(Shape::convex_polygon(triangle(-1.0), colour, stroke));
        }
        Sign::Fails => {
            let thick = Stroke::new(3.0, colour);
            painter.circle_filled(at, r, white);
            painter.line_segment([at + vec2(-r, -r), at + vec2(r, r)], thick);
            painter.line_segment([at + vec2(-r, r), at + vec2(r, -r)], thick);
        }
        Sign::Covered => {
            let square = Rect::from_center_size(at, Vec2::splat(1.7 * r));
            painter.rect_filled(square, 0.0, colour);
        }
        Sign::Gravity => {
            painter.circle(at, r, white, stroke);
            for quarter in [-1.0_f32, 1.0] {
                let points = vec![
                    at,
                    at + vec2(quarter * r, 0.0),
                    at + vec2(quarter * 0.71 * r, -quarter * 0.71 * r),
                    at + vec2(0.0, -quarter * r),
                ];
                painter.add(Shape::convex_polygon(points, colour, Stroke::NONE));
            }
        }
        Sign::Buoyancy => {
            painter.circle(at, r, white, stroke);
            painter.circle_filled(at, 0.35 * r, colour);
        }
        Sign::Metacentre => {
            painter.circle(at, r, white, stroke);
            let font = FontId::proportional(1.5 * r);
            painter.text(at, Align2::CENTER_CENTER, "M", font, colour);
        }
        Sign::Item => {
            let points = vec![
                at + vec2(0.0, -0.6 * r),
                at + vec2(0.6 * r, 0.0),
                at + vec2(0.0, 0.6 * r),
                at + vec2(-0.6 * r, 0.0),
            ];
            painter.add(Shape::convex_polygon(
                points,
                white,
                Stroke::new(1.5, colour),
            ));
        }
        Sign::Liquid => {
            for (half, down) in [(0.8, -0.25), (0.5, 0.25)] {
                let ends = [
                    at + vec2(-half * r, down * r),
                    at + vec2(half * r, down * r),
                ];
                painter.line_segment(ends, stroke);
            }
        }
        Sign::Side => {}
    }
}

/// The bands of height and their names, lower left.
fn legend(painter: &Painter, room: &Rect, shades: &Shades) -> Vec<Rect> {
    let rows = shades.legend();
    let row = 20.0;
    #[expect(clippy::cast_precision_loss, reason = "four rows")]
    let size = vec2(LEGEND_WIDTH, row * (rows.len() + 1) as f32 + 8.0);
    let rect = Rect::from_min_size(pos2(room.left(), room.bottom() - size.y), size);
    painter.rect_filled(rect, 4.0, PAPER);
    let font = FontId::proportional(TEXT - 1.0);
    let mut top = rect.min + vec2(8.0, 4.0);
    painter.text(
        top + vec2(0.0, row / 2.0),
        Align2::LEFT_CENTER,
        "Height above the water",
        font.clone(),
        ink(),
    );
    for (name, height) in rows {
        top.y += row;
        // A few neighbouring shades, so that stripes show as stripes.
        for line in 0..14_u8 {
            let there = height + 0.0012 * (7.0 - f64::from(line));
            let [r, g, b] = shades.colour(there);
            let strip =
                Rect::from_min_size(top + vec2(0.0, 3.0 + f32::from(line)), vec2(26.0, 1.0));
            painter.rect_filled(strip, 0.0, Color32::from_rgb(r, g, b));
        }
        painter.text(
            top + vec2(34.0, row / 2.0),
            Align2::LEFT_CENTER,
            name,
            font.clone(),
            ink(),
        );
    }
    vec![rect]
}

/// The boat's directions, lower right.
fn axes(painter: &Painter, room: &Rect, canvas: &Canvas<'_>) -> Rect {
    let rect = Rect::from_min_size(
        pos2(room.right() - 220.0, room.bottom() - 130.0),
        vec2(220.0, 130.0),
    );
    let foot = rect.center();
    let (Some(origin), font) = (canvas.at(&Vec3::zeros()), FontId::proportional(TEXT - 1.0)) else {
        return rect;
    };
    for (name, axis) in [
        ("forward", Vec3::x()),
        ("port", Vec3::y()),
        ("up", Vec3::z()),
    ] {
        // A short step shows the direction as it looks amidships.
        let Some(tip) = canvas.at(&(axis * 0.1)) else {
            continue;
        };
        let long = canvas
            .at(&(Vec3::new(1.0, 1.0, 1.0) * 0.1))
            .map_or(1.0, |d| (d - origin).length());
        let arm = (tip - origin) / long.max(1.0);
        if arm.length() < 0.12 {
            continue;
        }
        let end = foot + arm * 46.0;
        painter.arrow(foot, end - foot, Stroke::new(2.0, ink()));
        let aside = arm.normalized();
        let past = end + aside * (11.0 + 22.0 * aside.x.abs());
        painter.text(past, Align2::CENTER_CENTER, name, font.clone(), ink());
    }
    rect
}

/// A length to measure by: as it looks on the water amidships.
fn scale_bar(
    painter: &Painter,
    room: &Rect,
    canvas: &Canvas<'_>,
    units: UnitSystem,
) -> Option<Rect> {
    let bars: &[(f64, &str, u8)] = match units {
        UnitSystem::Us => &US_BARS,
        UnitSystem::Metric | UnitSystem::Both => &METRIC_BARS,
    };
    let right = canvas.right_in_world()?;
    let from = canvas.at(&Vec3::zeros())?;
    let length_of = |metres: f64| canvas.at(&(right * metres)).map(|to| (to - from).length());
    let (metres, text, parts) = bars
        .iter()
        .find(|(metres, ..)| length_of(*metres).is_some_and(|l| l <= LONGEST_BAR))?;
    let length = length_of(*metres)?;
    let rect = Rect::from_min_size(
        // Beside the legend.
        pos2(
            (room.center().x - LONGEST_BAR / 2.0).max(room.left() + LEGEND_WIDTH + 8.0),
            room.bottom() - 40.0,
        ),
        vec2(LONGEST_BAR, 40.0),
    );
    painter.rect_filled(rect, 4.0, PAPER);
    let start = pos2(rect.center().x - length / 2.0, rect.bottom() - 12.0);
    for part in 0..*parts {
        let step = length / f32::from(*parts);
        let box_of =
            Rect::from_min_size(start + vec2(step * f32::from(part), 0.0), vec2(step, 6.0));
        let fill = if part % 2 == 0 { ink() } else { Color32::WHITE };
        painter.rect(
            box_of,
            0.0,
            fill,
            Stroke::new(1.0, ink()),
            egui::StrokeKind::Middle,
        );
    }
    let font = FontId::proportional(TEXT - 1.0);
    let middle = pos2(rect.center().x, rect.top() + 11.0);
    let text = if canvas.is_parallel() {
        (*text).to_owned()
    } else {
        format!("{text} amidships")
    };
    painter.text(middle, Align2::CENTER_CENTER, text, font, ink());
    Some(rect)
}

impl Canvas<'_> {
    /// The world's direction that runs to the right in the picture.
    fn right_in_world(&self) -> Option<Vec3> {
        use kiss3d::camera::Camera3d as _;
        let eye = self.camera.eye();
        let sight = self.camera.at() - eye;
        let right = sight.cross(glamx::Vec3::Z).normalize();
        right
            .is_finite()
            .then(|| Vec3::new(f64::from(right.x), f64::from(right.y), 0.0))
    }

    fn is_parallel(&self) -> bool {
        self.camera.projection() == kiss3d::camera::Projection::Orthographic
    }
}

/// What the panel says in a few lines, for pictures without one; beside it what
/// it was before, where that boat is drawn.
pub(super) fn card(ctx: &egui::Context, state: &ViewerState) {
    let painter = ctx.layer_painter(LayerId::new(Order::Background, Id::new("card")));
    let (title, rows) = readings_in_text(state);
    let ghost = state.ghost().filter(|_| state.before() != Before::Hidden);
    let was = ghost.map_or_else(Vec::new, |ghost| {
        common_in_text(&ghost.readings, state.units)
    });
    let font = FontId::proportional(TEXT);
    let lay = |text: &str| painter.layout_no_wrap(text.to_owned(), font.clone(), ink());
    let title = painter.layout_no_wrap(title, FontId::proportional(TEXT + 4.0), ink());
    let mut lines: Vec<[String; 3]> = rows
        .into_iter()
        .map(|(name, value)| {
            let was = was.iter().find(|(of, _)| *of == name);
            let was = was.map_or_else(String::new, |(_, was)| was.clone());
            [name, value, was]
        })
        .collect();
    if let Some(ghost) = ghost {
        let how = match state.before() {
            Before::Over => "before (grey outline)",
            Before::Beside | Before::Hidden => "before",
        };
        let name = ghost.subject.boat.name.clone();
        let head = [String::new(), "now".into(), format!("{how}: {name}")];
        lines.insert(0, head);
    }
    let cells: Vec<_> = lines.iter().map(|l| l.each_ref().map(|t| lay(t))).collect();
    let mut columns = [0.0_f32; 3];
    for line in &cells {
        for (width, cell) in columns.iter_mut().zip(line) {
            *width = width.max(cell.size().x);
        }
    }
    let [first, second, third] = columns;
    let lefts = [0.0, first + 16.0, first + second + 40.0];
    let row = TEXT + 6.0;
    #[expect(clippy::cast_precision_loss, reason = "a few rows")]
    let height = title.size().y + 10.0 + row * cells.len() as f32;
    let wide = if third > 0.0 {
        lefts[2] + third
    } else {
        lefts[1] + second
    };
    let width = wide.max(title.size().x) + 16.0;
    let rect = Rect::from_min_size(pos2(6.0, 6.0), vec2(width, height));
    painter.rect_filled(rect, 4.0, PAPER);
    let mut at = rect.min + vec2(8.0, 4.0);
    let title_height = title.size().y;
    painter.galley(at, title, ink());
    at.y += title_height + 2.0;
    for line in cells {
        for (cell, left) in line.into_iter().zip(lefts) {
            painter.galley(at + vec2(left, 0.0), cell, ink());
        }
        at.y += row;
    }
}
