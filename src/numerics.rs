//! Small numerical tools shared by every layer, and the solvers: roots in a bracket, first
//! crossings, and the step of a minimum's search.

use nalgebra::Vector2;

mod crossing;
mod roots;
mod trust;

pub use crossing::{Crossing, first_below};
pub use roots::{Look, halved, rising_root};
pub use trust::trust_region_step;

/// A point or direction in the boat frame (x forward, y to port, z up), in
/// metres where it is a point.
pub type Vec3 = nalgebra::Vector3<f64>;

/// A point to the last bit, as a key of tables; nought and minus nought are two.
#[must_use]
pub fn place_bits(point: &Vec3) -> [u64; 3] {
    [point.x, point.y, point.z].map(f64::to_bits)
}

/// Standard acceleration of free fall, exact by definition (3rd CGPM, 1901),
/// m/s².
pub const STANDARD_GRAVITY_M_S2: f64 = 9.806_65;

/// Values this share apart are alike: sills are brought to the water within a millionth of
/// a millimetre, some 1e-8 of a lean.
const ALIKE: f64 = 1e-7;

/// The least and the most of some values; infinity and minus infinity where there are none.
#[must_use]
pub fn least_and_most(values: impl IntoIterator<Item = f64>) -> (f64, f64) {
    let none = (f64::INFINITY, f64::NEG_INFINITY);
    let wider = |(least, most): (f64, f64), value: f64| (least.min(value), most.max(value));
    values.into_iter().fold(none, wider)
}

/// Whether closed curves, by their sides in any order, go round a point: a ray from there
/// towards greater x meets an odd number. A side's upper end is its own, its lower not.
pub(crate) fn go_round(
    sides: impl IntoIterator<Item = [Vector2<f64>; 2]>,
    point: &Vector2<f64>,
) -> bool {
    let met = sides.into_iter().filter(|[a, b]| {
        let reaches_over = (a.y > point.y) != (b.y > point.y);
        reaches_over && point.x < a.x + (b.x - a.x) * (point.y - a.y) / (b.y - a.y)
    });
    met.count() % 2 == 1
}

/// So many of a list at even steps, the first and the last among them; all where it has no
/// more.
pub fn picked<T>(all: &[T], count: usize) -> impl Iterator<Item = &T> {
    let last = all.len().saturating_sub(1);
    let count = count.min(all.len());
    (0..count).map(move |k| &all[k * last / count.saturating_sub(1).max(1)])
}

/// Whether a value is less than another by more than they are sure of, so that of several
/// alike the first is kept and rounding does not choose.
#[must_use]
pub fn is_less(value: f64, than: f64) -> bool {
    value < than - ALIKE * than.abs()
}

/// Counter-clockwise convex hull of points in a plane, without its first point
/// again at the end (Andrew, Information Processing Letters 9, 1979; from
/// memory). Fewer than three points come back where they lie in a line.
#[must_use]
pub fn convex_hull(points: Vec<Vector2<f64>>) -> Vec<Vector2<f64>> {
    let mut sorted = points;
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    sorted.dedup();
    let half = |points: &mut dyn Iterator<Item = &Vector2<f64>>| {
        let mut chain: Vec<Vector2<f64>> = Vec::new();
        for p in points {
            while let [.., a, b] = chain.as_slice() {
                if (b - a).perp(&(p - a)) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(*p);
        }
        chain.pop();
        chain
    };
    let mut hull = half(&mut sorted.iter());
    hull.extend(half(&mut sorted.iter().rev()));
    hull
}
