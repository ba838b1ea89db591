//! Corners of a surface and curves of rims by place, to be asked what lies near.
use std::collections::HashMap;

use super::super::doubt::id;
use super::super::surface::Surface;
use super::rim::{Frame, Rim, SLAB_EDGES, TILT_DEG};
use crate::numerics::Vec3;

/// How far off a curve is looked for, m.
pub(super) const FARTHEST_M: f64 = 0.045;

/// A surface's corners by place.
pub(super) struct Vertices {
    cell_m: f64,
    /// Length of the mesh's edges.
    pub(super) edge_m: f64,
    by_cell: HashMap<[i32; 3], Vec<Vec3>>,
}

/// The cell that a place lies in, of cubes of a size, m.
#[expect(clippy::cast_possible_truncation, reason = "the cast saturates")]
pub(super) fn cell_of(p: &Vec3, size: f64) -> [i32; 3] {
    (p / size).map(|x| x.floor() as i32).into()
}

impl Vertices {
    pub(super) fn of(surface: &Surface, edge_m: f64) -> Self {
        let cell_m = 0.025;
        let mut by_cell: HashMap<[i32; 3], Vec<Vec3>> = HashMap::new();
        for v in &surface.vertices {
            by_cell.entry(cell_of(v, cell_m)).or_default().push(*v);
        }
        Self {
            cell_m,
            edge_m,
            by_cell,
        }
    }

    /// The corner beside a station that lies farthest out and inward.
    pub(super) fn farthest(&self, frame: &Frame, reach_m: f64) -> Option<Vec3> {
        let (sin, cos) = TILT_DEG.to_radians().sin_cos();
        let toward = frame.out * cos + frame.inward * sin;
        let slab_m = SLAB_EDGES * self.edge_m;
        let lo = cell_of(&(frame.at - Vec3::repeat(reach_m)), self.cell_m);
        let hi = cell_of(&(frame.at + Vec3::repeat(reach_m)), self.cell_m);
        let mut best: Option<(f64, Vec3)> = None;
        for i in lo[0]..=hi[0] {
            for j in lo[1]..=hi[1] {
                for k in lo[2]..=hi[2] {
                    for v in self.by_cell.get(&[i, j, k]).into_iter().flatten() {
                        let way = v - frame.at;
                        let far = way.dot(&toward);
                        if way.dot(&frame.along).abs() <= slab_m
                            && way.norm_squared() <= reach_m * reach_m
                            && best.is_none_or(|b| far > b.0)
                        {
                            best = Some((far, *v));
                        }
                    }
                }
            }
        }
        best.map(|b| b.1)
    }
}

/// The curves of several rims, to be asked what lies near.
pub(super) struct Curves {
    cell_m: f64,
    points: Vec<Vec3>,
    /// The points before and after each.
    beside: Vec<[u32; 2]>,
    by_cell: HashMap<[i32; 3], Vec<u32>>,
}

impl Curves {
    pub(super) fn of<'a>(rims: impl IntoIterator<Item = &'a Rim>) -> Self {
        let mut curves = Self {
            cell_m: FARTHEST_M,
            points: Vec::new(),
            beside: Vec::new(),
            by_cell: HashMap::new(),
        };
        for rim in rims {
            let first = curves.points.len();
            let count = rim.points.len();
            for (k, p) in rim.points.iter().enumerate() {
                let [i, j, l] = cell_of(p, curves.cell_m);
                let number = id(curves.points.len());
                curves.points.push(*p);
                let beside = [(k + count - 1) % count, (k + 1) % count];
                curves.beside.push(beside.map(|b| id(first + b)));
                for di in -1..=1 {
                    for dj in -1..=1 {
                        for dl in -1..=1 {
                            let cell = [i + di, j + dj, l + dl];
                            curves.by_cell.entry(cell).or_default().push(number);
                        }
                    }
                }
            }
        }
        curves
    }

    /// The nearest point of a curve, [`FARTHEST_M`] off at most.
    pub(super) fn nearest(&self, p: &Vec3, within_m: f64) -> Option<Vec3> {
        let near = self.by_cell.get(&cell_of(p, self.cell_m))?;
        let far = |n: &u32| (self.points[*n as usize] - p).norm_squared();
        let best = *near.iter().min_by(|a, b| far(a).total_cmp(&far(b)))? as usize;
        let at = self.points[best];
        let on = |other: u32| {
            let way = self.points[other as usize] - at;
            let share = (p - at).dot(&way) / way.norm_squared().max(f64::MIN_POSITIVE);
            at + way * share.clamp(0.0, 1.0)
        };
        let [a, b] = self.beside[best].map(on);
        let nearest = if (a - p).norm() < (b - p).norm() {
            a
        } else {
            b
        };
        ((nearest - p).norm() <= within_m).then_some(nearest)
    }

    /// How far the nearest curve is, m; infinite past `within_m`.
    pub(super) fn distance_m(&self, p: &Vec3, within_m: f64) -> f64 {
        self.nearest(p, within_m)
            .map_or(f64::INFINITY, |near| (near - p).norm())
    }
}

/// The farthest that a point of the second rims lies from the first, m.
pub(super) fn farthest_apart(first: &[Rim], second: &[Rim]) -> f64 {
    let near = Curves::of(first);
    let points = second.iter().flat_map(|rim| &rim.points);
    points
        .map(|p| near.distance_m(p, FARTHEST_M).min(FARTHEST_M))
        .fold(0.0, f64::max)
}
