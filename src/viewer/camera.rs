//! The eye.
use kiss3d::camera::{Camera3d as _, OrbitCamera3d, Projection};
use kiss3d::event::WindowEvent;
use kiss3d::glamx;
use kiss3d::window::Window;

use super::beside::{Layout, apart, both, larger};
use super::ghost::Ghost;
use super::grip::Ray;
use super::sheet::REACH_BESIDE;
use super::shown::Before;
use super::state::ViewerState;
use super::view::View;
use super::world::World;
use crate::numerics::Vec3;

/// Vertical field of view, rad: of a view in perspective, and of a parallel one,
/// whose eye must stand far off lest the boat reaches behind it.
const FIELD_RAD: [f32; 2] = [0.6, 0.1];
/// Room left round the boat.
const ROOM: f64 = 1.22;

/// A point or direction for the drawing library.
pub(super) fn drawn(v: &Vec3) -> glamx::Vec3 {
    #[expect(clippy::cast_possible_truncation, reason = "drawing is in f32")]
    let [x, y, z] = [v.x as f32, v.y as f32, v.z as f32];
    glamx::Vec3::new(x, y, z)
}

/// A point or direction of the drawing library.
fn of_drawn(v: glamx::Vec3) -> Vec3 {
    Vec3::new(f64::from(v.x), f64::from(v.y), f64::from(v.z))
}

/// An eye, and how the boat before lies beside this one for it.
pub(super) struct Fitted {
    pub(super) camera: OrbitCamera3d,
    pub(super) layout: Layout,
}

/// What covers the picture: shares of its width from the left and of its height from above.
#[derive(Clone, Copy)]
pub(super) struct Covered {
    pub(super) left: f64,
    pub(super) top: f64,
}

impl Covered {
    /// Breadth of what is free over its height.
    fn free_aspect(self, window: &Window) -> f64 {
        aspect_of(window) * (1.0 - self.left) / (1.0 - self.top)
    }
}

fn aspect_of(window: &Window) -> f64 {
    f64::from(window.width()) / f64::from(window.height().max(1))
}

/// Which way to look.
#[derive(Clone, Copy)]
pub(super) struct Look {
    /// From the boat to the eye.
    pub(super) towards_eye: Vec3,
    pub(super) is_parallel: bool,
}

impl Look {
    pub(super) fn of(view: View) -> Self {
        Self {
            towards_eye: view.towards_eye(),
            is_parallel: view.is_parallel(),
        }
    }

    /// As an eye looks.
    pub(super) fn of_eye(camera: &OrbitCamera3d) -> Option<Self> {
        let towards_eye = of_drawn(camera.eye() - camera.at()).try_normalize(0.0)?;
        // Straight from above there is no right.
        (towards_eye.z.abs() < 0.9999).then(|| Self {
            towards_eye,
            is_parallel: camera.projection() == Projection::Orthographic,
        })
    }
}

/// An eye that sees the whole boat, and the one before where that is drawn
/// beside it: then lengths can be compared, so the projection is parallel.
pub(super) fn camera_for(
    look: Look,
    window: &Window,
    state: &ViewerState,
    covered: Covered,
) -> Fitted {
    let beside = state.ghost().filter(|_| state.before() == Before::Beside);
    let is_parallel = look.is_parallel || beside.is_some();
    let axes = look.axes();
    let [right, up, _] = axes;
    let free_aspect = covered.free_aspect(window);
    let (world, hull_box) = (world_now(state), state.subject().boat.hull_box_m);
    let mut middle = middle_m(&world, &hull_box);
    let deep = half_size(&axes, &world, &hull_box);
    let mut half = [deep[0], deep[1]];
    let mut layout = Layout::Column;
    if let Some(ghost) = beside {
        let before = half_with_water(&axes, &world_before(ghost), &ghost.subject.boat.hull_box_m);
        let now = half_with_water(&axes, &world, &hull_box);
        layout = larger(now, before, free_aspect);
        let (both, off) = both(now, before, layout);
        half = both;
        middle += right * off[0] + up * off[1];
    }
    let framed = Framed {
        middle,
        half,
        deep: deep[2],
    };
    let camera = framed.seen(&axes, is_parallel, window, covered);
    Fitted { camera, layout }
}

/// What is to be seen: its middle in the world, m, half of its size to the right and up in
/// the picture, and half of its depth.
pub(super) struct Framed {
    pub(super) middle: Vec3,
    pub(super) half: [f64; 2],
    pub(super) deep: f64,
}

impl Framed {
    /// A box of the world, as it is looked at.
    pub(super) fn of_box((lo, hi): &(Vec3, Vec3), axes: &[Vec3; 3]) -> Self {
        let middle = (lo + hi) / 2.0;
        let mut half = [0.0_f64; 3];
        for corner in corners(&(*lo, *hi)) {
            for (half, axis) in half.iter_mut().zip(axes) {
                *half = half.max((corner - middle).dot(axis).abs());
            }
        }
        Self {
            middle,
            half: [half[0], half[1]],
            deep: half[2],
        }
    }

    /// An eye that sees it all, beside and under what is covered.
    pub(super) fn seen(
        &self,
        [right, up, towards_eye]: &[Vec3; 3],
        is_parallel: bool,
        window: &Window,
        covered: Covered,
    ) -> OrbitCamera3d {
        let half_height = ROOM * self.half[1].max(self.half[0] / covered.free_aspect(window))
            / (1.0 - covered.top);
        let field = FIELD_RAD[usize::from(is_parallel)];
        let mut distance = half_height / f64::from(field / 2.0).tan();
        if !is_parallel {
            distance += 0.4 * self.deep;
        }
        let aside = right * (half_height * aspect_of(window) * covered.left);
        let at = self.middle - aside + up * (half_height * covered.top);
        let eye = at + towards_eye * distance;
        let mut camera =
            OrbitCamera3d::new_with_frustum(field, 0.05, 500.0, drawn(&eye), drawn(&at));
        camera.set_up_axis(glamx::Vec3::Z);
        camera.look_at(drawn(&eye), drawn(&at));
        if is_parallel {
            camera.set_projection(Projection::Orthographic);
        }
        camera.set_dist_step(0.995);
        // Without a window nobody tells the camera the size of the picture.
        let size = WindowEvent::FramebufferSize(window.width(), window.height());
        camera.handle_event(window.canvas(), &size);
        camera
    }
}

impl Look {
    /// To the right and up in the picture, and towards the eye.
    pub(super) fn axes(&self) -> [Vec3; 3] {
        let right = Vec3::z().cross(&self.towards_eye).normalize();
        [right, self.towards_eye.cross(&right), self.towards_eye]
    }
}

fn world_now(state: &ViewerState) -> World {
    World::new(&state.readings().plane, &state.subject().boat.hull_box_m)
}

/// The world of the boat before.
pub(super) fn world_before(ghost: &Ghost) -> World {
    World::new(&ghost.readings.plane, &ghost.subject.boat.hull_box_m)
}

fn middle_m(world: &World, (lo, hi): &(Vec3, Vec3)) -> Vec3 {
    world.of_boat(&((lo + hi) / 2.0))
}

/// Half of a hull's box along some directions of the world, m.
fn half_size(axes: &[Vec3; 3], world: &World, hull_box: &(Vec3, Vec3)) -> [f64; 3] {
    let middle = middle_m(world, hull_box);
    let mut half = [0.0_f64; 3];
    for corner in corners(hull_box) {
        let off = world.of_boat(&corner) - middle;
        for (half, axis) in half.iter_mut().zip(axes) {
            *half = half.max(off.dot(axis).abs());
        }
    }
    half
}

/// The same in the picture with the water that is drawn round it.
fn half_with_water(axes: &[Vec3; 3], world: &World, hull_box: &(Vec3, Vec3)) -> [f64; 2] {
    let [right, up, _] = half_size(axes, world, hull_box);
    let reach = REACH_BESIDE * (hull_box.1 - hull_box.0).amax();
    // The water is level: seen from the side it reaches no higher.
    let flat = |axis: &Vec3| reach * axis.x.hypot(axis.y).min(1.0);
    [right + flat(&axes[0]), up + flat(&axes[1])]
}

/// The corners of a box.
pub(super) fn corners((lo, hi): &(Vec3, Vec3)) -> [Vec3; 8] {
    std::array::from_fn(|corner| {
        let pick = |axis: usize| if corner >> axis & 1 == 0 { lo } else { hi }[axis];
        Vec3::new(pick(0), pick(1), pick(2))
    })
}

/// Where the boat before lies from this one in the world, where it is drawn
/// beside it, m: square to the line of sight, so that it is seen at one scale.
pub(super) fn beside_shift(
    state: &ViewerState,
    camera: &OrbitCamera3d,
    layout: Layout,
) -> Option<Vec3> {
    let ghost = state.ghost().filter(|_| state.before() == Before::Beside)?;
    let towards_eye = of_drawn(camera.eye() - camera.at()).try_normalize(0.0)?;
    let right = Vec3::z().cross(&towards_eye).try_normalize(0.0)?;
    let axes = [right, towards_eye.cross(&right), towards_eye];
    let now = half_with_water(&axes, &world_now(state), &state.subject().boat.hull_box_m);
    let before = half_with_water(&axes, &world_before(ghost), &ghost.subject.boat.hull_box_m);
    let apart = apart(now, before, layout);
    Some(match layout {
        Layout::Row => -axes[0] * apart,
        Layout::Column => axes[1] * apart,
    })
}

/// Where a point of the world lies in the picture, from its upper left corner,
/// in points of `scale` pixels; `None` behind the eye.
pub(super) fn in_picture(
    camera: &OrbitCamera3d,
    size: glamx::Vec2,
    scale: f32,
    point: &Vec3,
) -> Option<kiss3d::egui::Pos2> {
    let point = drawn(point);
    let depth = (camera.transformation() * point.extend(1.0)).w;
    let at = camera.project(point, size);
    (depth > 0.0 && at.is_finite())
        .then(|| kiss3d::egui::pos2(at.x / scale, (size.y - at.y) / scale))
}

/// The line of sight through a pixel, in the boat frame.
pub(super) fn sight(
    camera: &OrbitCamera3d,
    size: glamx::Vec2,
    pixel: (f64, f64),
    world: &World,
) -> Ray {
    #[expect(clippy::cast_possible_truncation, reason = "pixels")]
    let pixel = glamx::Vec2::new(pixel.0 as f32, pixel.1 as f32);
    let (from, along) = camera.unproject(pixel, size);
    Ray {
        from_m: world.in_boat(&of_drawn(from)),
        along: world.direction_in_boat(&of_drawn(along)).normalize(),
    }
}
