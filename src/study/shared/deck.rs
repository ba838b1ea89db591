//! Where one can put something on a boat, looked at from above. Holds no study.
use crate::boat::Boat;
use crate::mesh::Surface;
use crate::numerics::Vec3;

/// The top of the closed envelope.
pub(in crate::study) struct Deck<'a> {
    surface: &'a Surface,
    pub(in crate::study) low: Vec3,
    pub(in crate::study) high: Vec3,
}

impl<'a> Deck<'a> {
    pub(in crate::study) fn of(boat: &'a Boat) -> Self {
        let (low, high) = boat.hull_box_m;
        Self {
            surface: &boat.envelope.surface,
            low,
            high,
        }
    }

    /// Height of the topmost face over a place, m; `None` beside the boat. An
    /// open boat counts as capped at its rim.
    pub(in crate::study) fn top_m(&self, x: f64, y: f64) -> Option<f64> {
        (0..self.surface.faces.len())
            .filter_map(|face| {
                let [a, b, c] = self.surface.corners(face);
                height_over(&a, &b, &c, x, y)
            })
            .reduce(f64::max)
    }
}

/// Height of a triangle over a place, where it covers that place.
fn height_over(a: &Vec3, b: &Vec3, c: &Vec3, x: f64, y: f64) -> Option<f64> {
    if x < a.x.min(b.x).min(c.x)
        || x > a.x.max(b.x).max(c.x)
        || y < a.y.min(b.y).min(c.y)
        || y > a.y.max(b.y).max(c.y)
    {
        return None;
    }
    let across = |p: &Vec3, q: &Vec3| (p.x - x) * (q.y - y) - (p.y - y) * (q.x - x);
    let (u, v, w) = (across(b, c), across(c, a), across(a, b));
    let sum = u + v + w;
    let inside = (u >= 0.0 && v >= 0.0 && w >= 0.0) || (u <= 0.0 && v <= 0.0 && w <= 0.0);
    (inside && sum != 0.0).then(|| (u * a.z + v * b.z + w * c.z) / sum)
}
