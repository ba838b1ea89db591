//! What lies under the mouse: a place on the skin, an opening; and the way between places.
use nalgebra::Vector2;

use super::cut::cut;
use super::grip::Ray;
use super::subject::Subject;
use crate::boat::{FaceSource, HullFrame, Opening, edges_of_rim};
use crate::immersion::WaterPlane;
use crate::mesh::Reach;
use crate::numerics::{Vec3, go_round};
use crate::quantity::{Dimension, UnitSystem, show};

/// A ray this near to a run's box meets it, as a share of its own length to the hull.
const RAY_CLEAR: f64 = 1e-9;
/// How far behind the middle of a bent opening the skin in it may lie, as a share of the
/// opening's size.
const BENT_SHARE: f64 = 0.3;

/// How far behind the middle of an open edge skin must lie to be seen through it.
const NO_SKIN_SHARE: f64 = 0.02;

/// A place on the skin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Picked {
    /// Where, boat frame, m.
    pub at_m: Vec3,
    /// Out of the skin there.
    pub out: Vec3,
    /// What it is the skin of.
    pub source: FaceSource,
    /// Whether it is seen from inside.
    pub is_inside: bool,
}

impl Picked {
    /// The place by tape.
    #[must_use]
    pub fn by_tape(&self, frame: &HullFrame, units: UnitSystem) -> String {
        let length = |m: f64| show(m + 0.0, Dimension::Length, units);
        let aside_m = self.at_m.y - frame.middle_y_m;
        let aside = if aside_m.abs() < 5e-4 {
            "on the middle".to_owned()
        } else if aside_m > 0.0 {
            format!("{} to port", length(aside_m))
        } else {
            format!("{} to starboard", length(-aside_m))
        };
        format!(
            "{} from the stem, {aside}, {} over the base",
            length(frame.stem_x_m - self.at_m.x),
            length(self.at_m.z - frame.base_z_m)
        )
    }
}

impl Subject {
    /// The first skin that a ray meets. Caps over open edges are no skin.
    #[must_use]
    pub fn pick(&self, ray: &Ray) -> Option<Picked> {
        let surface = &self.boat.envelope.surface;
        let may_meet = |[lo, hi]: &Reach| meets_box(ray, lo, hi);
        let faces = self.runs().faces(may_meet);
        let met = faces.filter(|face| *face < self.boat.skin_faces);
        let met = met.filter_map(|face| Some((meets(ray, &surface.corners(face))?, face)));
        let (far_m, face) = met.min_by(|a, b| a.0.total_cmp(&b.0))?;
        let out = surface.face_normal(face).try_normalize(0.0)?;
        Some(Picked {
            at_m: ray.from_m + ray.along * far_m,
            out,
            source: self.boat.envelope.sources[face],
            is_inside: out.dot(&ray.along) > 0.0,
        })
    }

    /// The opening that a ray goes through before it meets skin, or in whose midst it does.
    #[must_use]
    pub fn opening_at(&self, ray: &Ray) -> Option<&Opening> {
        let skin = self
            .pick(ray)
            .map(|picked| (picked.at_m - ray.from_m).norm());
        let skin_m = skin.unwrap_or(f64::INFINITY);
        let met = self.boat.openings.iter().filter_map(|opening| {
            let (far_m, size_m) = goes_through(ray, &opening.rim)?;
            // There is skin in a hole that is drawn on it, none in an open edge.
            let bent_m = match opening.cap {
                Some(_) => -NO_SKIN_SHARE * size_m,
                None => BENT_SHARE * size_m,
            };
            (far_m < skin_m + bent_m).then_some((opening, size_m))
        });
        met.min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(opening, _)| opening)
    }

    /// The edge of the hull at a station, on a side: the highest of its skin at its outermost.
    #[must_use]
    pub fn edge_m(&self, x_m: f64, port: bool) -> Vec3 {
        let surface = &self.boat.envelope.surface;
        let plane = WaterPlane {
            up: Vec3::x(),
            level_m: x_m,
        };
        let curves = cut(surface, self.boat.skin_faces, &plane);
        let side = if port { 1.0 } else { -1.0 };
        let middle = self.boat.frame.middle_y_m;
        let points = curves.loops.iter().chain(&curves.open).flatten();
        let points = points.filter(|p| side * (p.y - middle) >= 0.0);
        let highest = points.max_by(|a, b| a.z.total_cmp(&b.z)).copied();
        let (lo, hi) = self.boat.hull_box_m;
        highest.unwrap_or_else(|| Vec3::new(x_m, if port { hi.y } else { lo.y }, hi.z))
    }

    /// How far two places lie from each other along the skin, m, in the plane through both
    /// that is squarest to it: as a tape pulled over it, but for where that slips aside.
    #[must_use]
    pub fn along_skin_m(&self, a: &Picked, b: &Picked) -> Option<f64> {
        let way = b.at_m - a.at_m;
        let up = way.cross(&(a.out + b.out)).try_normalize(1e-12)?;
        let plane = WaterPlane {
            up,
            level_m: up.dot(&a.at_m),
        };
        let surface = &self.boat.envelope.surface;
        let curves = cut(surface, self.boat.skin_faces, &plane);
        let closed = curves.loops.iter().map(|line| (line, true));
        let open = curves.open.iter().map(|line| (line, false));
        let near_m = 1e-3 + 1e-3 * way.norm();
        let found = closed.chain(open).filter_map(|(line, is_closed)| {
            let along = Along::of(line, is_closed);
            let (from, to) = (along.nearest(&a.at_m)?, along.nearest(&b.at_m)?);
            let on_it = from.1 < near_m && to.1 < near_m;
            on_it.then(|| along.between_m(from.0, to.0))
        });
        found.min_by(f64::total_cmp)
    }
}

/// A line and how far along it each of its points lies.
struct Along {
    points: Vec<Vec3>,
    at_m: Vec<f64>,
    is_closed: bool,
}

impl Along {
    fn of(line: &[Vec3], is_closed: bool) -> Self {
        let mut points = line.to_vec();
        if is_closed {
            points.extend(line.first());
        }
        let mut at_m = vec![0.0];
        for pair in points.windows(2) {
            at_m.push(at_m[at_m.len() - 1] + (pair[1] - pair[0]).norm());
        }
        Self {
            points,
            at_m,
            is_closed,
        }
    }

    /// How far along it the place nearest to a point lies, and how far off that is, m.
    fn nearest(&self, point: &Vec3) -> Option<(f64, f64)> {
        let pairs = self.points.windows(2).zip(&self.at_m);
        let found = pairs.map(|(pair, at_m)| {
            let way = pair[1] - pair[0];
            let long = way.norm_squared();
            let share = if long > 0.0 {
                ((point - pair[0]).dot(&way) / long).clamp(0.0, 1.0)
            } else {
                0.0
            };
            let off_m = (pair[0] + way * share - point).norm();
            (at_m + share * long.sqrt(), off_m)
        });
        found.min_by(|a, b| a.1.total_cmp(&b.1))
    }

    fn between_m(&self, from_m: f64, to_m: f64) -> f64 {
        let one_way = (to_m - from_m).abs();
        let whole = self.at_m.last().copied().unwrap_or(0.0);
        if self.is_closed {
            one_way.min(whole - one_way)
        } else {
            one_way
        }
    }
}

/// Whether a ray goes through a box.
fn meets_box(ray: &Ray, lo: &Vec3, hi: &Vec3) -> bool {
    let (mut near, mut far) = (0.0_f64, f64::INFINITY);
    for axis in 0..3 {
        let (from, along) = (ray.from_m[axis], ray.along[axis]);
        let clear = RAY_CLEAR * (1.0 + from.abs());
        let [a, b] = [lo[axis] - clear, hi[axis] + clear].map(|side| (side - from) / along);
        if along == 0.0 {
            if from < lo[axis] - clear || from > hi[axis] + clear {
                return false;
            }
            continue;
        }
        near = near.max(a.min(b));
        far = far.min(a.max(b));
    }
    near <= far
}

/// How far along a ray it meets a triangle, m (Möller and Trumbore, 1997; from memory).
fn meets(ray: &Ray, [a, b, c]: &[Vec3; 3]) -> Option<f64> {
    let (u, v) = (b - a, c - a);
    let across = ray.along.cross(&v);
    let turn = u.dot(&across);
    if turn == 0.0 {
        return None;
    }
    let away = ray.from_m - a;
    let first = away.dot(&across) / turn;
    let aside = away.cross(&u);
    let second = ray.along.dot(&aside) / turn;
    let far = v.dot(&aside) / turn;
    (first >= 0.0 && second >= 0.0 && first + second <= 1.0 && far > 0.0).then_some(far)
}

/// How far along a ray it goes through a rim, m, and how large that is.
fn goes_through(ray: &Ray, rim: &[Vec3]) -> Option<(f64, f64)> {
    let (edges, has_area) = edges_of_rim(rim);
    if !has_area {
        return None;
    }
    let (middle, normal) = flat_of(&edges)?;
    let slope = ray.along.dot(&normal);
    let far_m = (middle - ray.from_m).dot(&normal) / slope;
    if !far_m.is_finite() || far_m <= 0.0 {
        return None;
    }
    let at = ray.from_m + ray.along * far_m;
    let [u, v] = axes_of_plane(&normal);
    let flat = |p: &Vec3| Vector2::new(u.dot(&(p - at)), v.dot(&(p - at)));
    let sides = edges.iter().map(|edge| edge.each_ref().map(flat));
    let is_through = go_round(sides, &Vector2::zeros());
    let size = |(lo, hi): (Vec3, Vec3)| (hi - lo).norm();
    let reach = edges.iter().flatten();
    let reach = reach.fold((middle, middle), |(lo, hi), p| (lo.inf(p), hi.sup(p)));
    is_through.then(|| (far_m, size(reach)))
}

/// The middle of a ring of edges and the normal of the plane that it lies about; edges may
/// come in any order and sense.
pub(super) fn flat_of(edges: &[[Vec3; 2]]) -> Option<(Vec3, Vec3)> {
    let length: f64 = edges.iter().map(|[a, b]| (b - a).norm()).sum();
    let weighted = edges.iter().map(|[a, b]| (a + b) * (0.5 * (b - a).norm()));
    let middle = weighted.sum::<Vec3>() / length;
    let scatter = edges
        .iter()
        .flatten()
        .map(|p| (p - middle) * (p - middle).transpose());
    let axes = scatter.sum::<nalgebra::Matrix3<f64>>().symmetric_eigen();
    let normal: Vec3 = axes.eigenvectors.column(axes.eigenvalues.imin()).into();
    (length > 0.0).then_some((middle, normal))
}

/// Two axes of a plane, square to each other and to its normal.
pub(super) fn axes_of_plane(normal: &Vec3) -> [Vec3; 2] {
    let u = normal.cross(&Vec3::ith(normal.iamin(), 1.0)).normalize();
    [u, normal.cross(&u)]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn down(x: f64, y: f64) -> Ray {
        Ray {
            from_m: Vec3::new(x, y, 5.0),
            along: -Vec3::z(),
        }
    }

    /// Closed form.
    #[test]
    fn a_ray_meets_a_triangle_where_it_lies() {
        let [a, b, c] = [[0.0, 0.0], [2.0, 0.0], [0.0, 2.0]].map(|[x, y]| Vec3::new(x, y, 1.0));
        assert_eq!(meets(&down(0.5, 0.5), &[a, b, c]), Some(4.0));
        assert_eq!(meets(&down(1.5, 1.5), &[a, b, c]), None);
        assert!(meets_box(&down(0.5, 0.5), &a, &(b + c)));
        assert!(!meets_box(&down(-0.5, 0.5), &a, &(b + c)));
    }

    /// Closed form: a square rim of 1 m, and a line along a box of 1 m round three sides.
    #[test]
    fn a_ray_goes_through_a_rim_and_lengths_follow_a_line() {
        let rim = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];
        let rim = rim.map(|[x, y]| Vec3::new(x, y, 0.3));
        let (far_m, size_m) = goes_through(&down(0.2, 0.9), &rim).unwrap();
        assert!((far_m - 4.7).abs() < 1e-12 && (size_m - 2.0_f64.sqrt()).abs() < 1e-12);
        assert!(goes_through(&down(1.2, 0.9), &rim).is_none());
        let line = Along::of(&rim, true);
        let at = |x: f64, y: f64| line.nearest(&Vec3::new(x, y, 0.3)).unwrap().0;
        assert!((line.between_m(at(0.5, 0.0), at(0.0, 0.5)) - 1.0).abs() < 1e-12);
        assert!((line.between_m(at(0.5, 0.0), at(0.5, 1.0)) - 2.0).abs() < 1e-12);
    }
}
