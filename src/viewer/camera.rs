//! The eye.
use kiss3d::camera::{Camera3d as _, OrbitCamera3d, Projection};
use kiss3d::event::WindowEvent;
use kiss3d::glamx;
use kiss3d::window::Window;

use super::grip::Ray;
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

/// An eye that sees the whole boat. `free_from_left` is the share of the picture
/// that something else covers from the left.
pub(super) fn camera_for(
    view: View,
    window: &Window,
    world: &World,
    hull_box_m: &(Vec3, Vec3),
    free_from_left: f64,
) -> OrbitCamera3d {
    let towards_eye = view.towards_eye();
    let right = Vec3::z().cross(&towards_eye).normalize();
    let up = towards_eye.cross(&right);
    let (lo, hi) = hull_box_m;
    let middle = world.of_boat(&((lo + hi) / 2.0));
    let mut half = [0.0_f64; 3];
    for corner in 0..8_usize {
        let pick = |axis: usize| {
            if corner >> axis & 1 == 0 {
                lo[axis]
            } else {
                hi[axis]
            }
        };
        let off = world.of_boat(&Vec3::new(pick(0), pick(1), pick(2))) - middle;
        for (half, axis) in half.iter_mut().zip([right, up, towards_eye]) {
            *half = half.max(off.dot(&axis).abs());
        }
    }
    let (width, height) = (f64::from(window.width()), f64::from(window.height()));
    let aspect = width / height.max(1.0);
    let half_height = ROOM * half[1].max(half[0] / (aspect * (1.0 - free_from_left)));
    let field = FIELD_RAD[usize::from(view.is_parallel())];
    let mut distance = half_height / f64::from(field / 2.0).tan();
    if !view.is_parallel() {
        distance += 0.4 * half[2];
    }
    let at = middle - right * (half_height * aspect * free_from_left);
    let eye = at + towards_eye * distance;
    let mut camera = OrbitCamera3d::new_with_frustum(field, 0.05, 500.0, drawn(&eye), drawn(&at));
    camera.set_up_axis(glamx::Vec3::Z);
    camera.look_at(drawn(&eye), drawn(&at));
    if view.is_parallel() {
        camera.set_projection(Projection::Orthographic);
    }
    camera.set_dist_step(0.995);
    // Without a window nobody tells the camera the size of the picture.
    let size = WindowEvent::FramebufferSize(window.width(), window.height());
    camera.handle_event(window.canvas(), &size);
    camera
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
