//! Where one can put something on a boat, looked at from above. Holds no study.
use crate::boat::{Boat, Opening};
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

/// Where an opening's sill is, in words, for an up: on either side where both sides'
/// lowest points of its rim are as low.
pub(in crate::study) fn sill_place_in_words(boat: &Boat, opening: &Opening, up: &Vec3) -> String {
    /// Heights that differ by less are one, m: a tape's finest division. Ours.
    const SAME_M: f64 = 5e-4;
    let sill = opening.sill_m(up);
    let words = boat.place_in_words(&sill);
    let Some((side, _)) = words.split_once(" side, ") else {
        return words;
    };
    let (lo, hi) = boat.hull_box_m;
    let middle = f64::midpoint(lo.y, hi.y);
    let across = (sill.y - middle).abs();
    // The other side's lowest point lies as far out, but for a tenth of the breadth.
    let mirrored = |point: &&Vec3| {
        let off = (point.y - middle) * (middle - sill.y).signum();
        (off - across).abs() < (hi.y - lo.y) / 10.0
    };
    let others = opening.rim.iter().filter(mirrored);
    let lowest = others.map(|point| up.dot(point)).reduce(f64::min);
    if lowest.is_some_and(|height| height - up.dot(&sill) < SAME_M) {
        words.replacen(side, "either", 1)
    } else {
        words
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
