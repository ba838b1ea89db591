//! How far a rough skin reaches along a direction: by a fit to the skin there, never by its
//! farthest corner, which is the one that noise carried farthest.
use std::collections::HashMap;

use nalgebra::{DMatrix, DVector};

use super::super::symmetry::quantile;
use crate::numerics::Vec3;

/// A skin less rough than this, m, is as it was drawn: its farthest corner counts.
const SMOOTH_M: f64 = 1e-4;
/// The fit takes the skin that lies this near to the farthest corner, in standard deviations
/// of the roughness: the first that holds so many corners, and from there on the widest that
/// the fit still follows within so many deviations.
const DEPTHS: [f64; 6] = [6.0, 9.0, 13.0, 20.0, 30.0, 45.0];
const LEAST_CORNERS: usize = 16;
const FOLLOWS: f64 = 1.25;
/// A corner that stands out of the fit by more deviations than this is no noise but a thing
/// that the hull has there: a skeg, a bolt. Of 10 000 normal numbers none lies so far off.
const STANDS_OUT: f64 = 4.5;
/// Corners nearer than this, m, share the waves of a scan.
const WAVE_M: f64 = 0.05;
/// Corners farther from the rest than this, m, belong to another end: a twin hull's.
const APART_M: f64 = 0.1;
const TRIFLE: f64 = 1e-9;

/// How far a skin reaches, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Reach {
    pub(super) at_m: f64,
    /// Two standard deviations of it, m.
    pub(super) error_m: f64,
}

/// How far an upright hull, its centre plane at y = 0, reaches along `way` (x or z).
pub(super) fn reach(corners: &[Vec3], way: &Vec3, noise_m: f64) -> Reach {
    let top_m = corners.iter().map(|v| v.dot(way)).fold(f64::NEG_INFINITY, f64::max);
    let farthest = Reach { at_m: top_m, error_m: 0.0 };
    if noise_m < SMOOTH_M {
        return farthest;
    }
    let mut best: Option<Fit> = None;
    for depth in DEPTHS {
        let near: Vec<Vec3> = corners
            .iter()
            .filter(|v| v.dot(way) > top_m - depth * noise_m)
            .copied()
            .collect();
        let fits = clusters(&near).into_iter();
        let fits = fits.filter_map(|near| Fit::through(&near, way));
        let Some(fit) = fits.max_by(|a, b| a.top_m.total_cmp(&b.top_m)) else {
            continue;
        };
        let follows = fit.scatter_m < FOLLOWS * noise_m;
        if best.is_some() && !follows {
            break;
        }
        best = Some(fit);
    }
    match best {
        Some(fit) if fit.scatter_m < SMOOTH_M => farthest,
        Some(fit) if fit.stands_out_m < STANDS_OUT * fit.scatter_m => Reach {
            at_m: fit.top_m,
            error_m: 2.0 * fit.deviation_m,
        },
        _ => Reach {
            error_m: 2.0 * noise_m,
            ..farthest
        },
    }
}

/// Points parted where they lie farther apart than [`APART_M`].
fn clusters(points: &[Vec3]) -> Vec<Vec<Vec3>> {
    let cell = |p: &Vec3| -> [i32; 3] { cell_of(p, APART_M) };
    let mut cells: HashMap<[i32; 3], Vec<Vec3>> = HashMap::new();
    for p in points {
        cells.entry(cell(p)).or_default().push(*p);
    }
    let mut clusters = Vec::new();
    // In the order of the points, so that the same mesh gives the same answer.
    for p in points {
        let mut front = vec![cell(p)];
        let mut cluster = Vec::new();
        while let Some([i, j, k]) = front.pop() {
            if let Some(inside) = cells.remove(&[i, j, k]) {
                cluster.extend(inside);
                for step in 0..27 {
                    front.push([i + step % 3 - 1, j + step / 3 % 3 - 1, k + step / 9 - 1]);
                }
            }
        }
        if !cluster.is_empty() {
            clusters.push(cluster);
        }
    }
    clusters
}

#[expect(clippy::cast_possible_truncation, reason = "the cast saturates")]
fn cell_of(p: &Vec3, size_m: f64) -> [i32; 3] {
    (p / size_m).map(|x| x.floor() as i32).into()
}

/// A surface through the skin where it reaches farthest.
struct Fit {
    /// How far it reaches, and the standard deviation of that, m.
    top_m: f64,
    deviation_m: f64,
    /// Standard deviation of the corners about it, m.
    scatter_m: f64,
    /// How far a corner stands out of it beyond its top, m.
    stands_out_m: f64,
}

impl Fit {
    /// Height over two directions across the way, by least squares: of the fourth degree
    /// along the first, of the second over the distance from the centre plane, so that a
    /// keel may be sharp; where the points lie on one side of that, of the second degree.
    fn through(points: &[Vec3], way: &Vec3) -> Option<Self> {
        let count = points.len();
        if count < LEAST_CORNERS {
            return None;
        }
        let along = if way.x == 0.0 { Vec3::x() } else { Vec3::z() };
        let straddles = points.iter().any(|p| p.y > 0.0) && points.iter().any(|p| p.y < 0.0);
        let across = |p: &Vec3| if straddles { p.y.abs() } else { p.y };
        let (s_range, t_range) = (Range::of(points, |p| p.dot(&along)), Range::of(points, across));
        let row = |s: f64, t: f64| {
            let (s, t) = (s_range.share(s), t_range.share(t));
            let mut row = vec![1.0, s, t, s * s, s * t, t * t];
            if count > 4 * LEAST_CORNERS {
                row.extend([s * s * s, s * s * s * s]);
            }
            row
        };
        let rows: Vec<Vec<f64>> = points.iter().map(|p| row(p.dot(&along), across(p))).collect();
        let columns = rows[0].len();
        let matrix = DMatrix::from_fn(count, columns, |i, j| rows[i][j]);
        let heights = DVector::from_fn(count, |i, _| points[i].dot(way));
        // A trifle on the diagonal: points in a row leave a direction free.
        let trifle = DMatrix::identity(columns, columns) * (TRIFLE * count as f64);
        let normal = matrix.transpose() * &matrix + trifle;
        let inverse = normal.try_inverse()?;
        let solved = &inverse * (matrix.transpose() * &heights);
        let fitted = &matrix * &solved;
        let off: Vec<f64> = (&heights - &fitted).iter().map(|off| off.abs()).collect();
        let spare = (count - columns) as f64 / count as f64;
        // Of normal noise 0.6827 lies within a deviation.
        let scatter_m = quantile(off, 0.6827) / spare.sqrt();
        // The crest runs through the centre plane where both sides are here.
        let crests = points.iter().enumerate().flat_map(|(i, p)| {
            let own = (fitted[i], rows[i].clone());
            let middle = straddles.then(|| {
                let row = row(p.dot(&along), 0.0);
                let high = row.iter().zip(&solved).map(|(a, b)| a * b).sum();
                (high, row)
            });
            std::iter::once(own).chain(middle)
        });
        let (top_m, row) = crests.max_by(|a, b| a.0.total_cmp(&b.0))?;
        let row = DVector::from_vec(row);
        let leverage = row.dot(&(&inverse * &row)).min(1.0);
        // Waves are shared by corners that lie near each other: they are taken to be half of
        // the roughness.
        let mut apart: Vec<[i32; 3]> = points.iter().map(|p| cell_of(p, WAVE_M)).collect();
        apart.sort_unstable();
        apart.dedup();
        let shared = (count as f64 / apart.len() as f64).max(1.0);
        let variance = (leverage * f64::midpoint(1.0, shared)).min(1.0);
        let highest = heights.max();
        Some(Self {
            top_m,
            deviation_m: scatter_m * variance.sqrt(),
            scatter_m,
            stands_out_m: highest - top_m,
        })
    }
}

/// Values from least to most, brought to -1 … 1.
struct Range {
    middle: f64,
    half: f64,
}

impl Range {
    fn of(points: &[Vec3], value: impl Fn(&Vec3) -> f64) -> Self {
        let values = points.iter().map(value);
        let (lo, hi) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), x| {
            (lo.min(x), hi.max(x))
        });
        Self {
            middle: f64::midpoint(lo, hi),
            half: (hi - lo).max(f64::MIN_POSITIVE) / 2.0,
        }
    }

    fn share(&self, value: f64) -> f64 {
        (value - self.middle) / self.half
    }
}
