//! How far a rough skin reaches along a direction: by a fit to the skin there, never by its
//! farthest corner, which is the one that noise carried farthest.
use std::collections::HashMap;

use nalgebra::{DMatrix, DVector};

use super::super::surface::Surface;
use super::super::symmetry::quantile;
use super::super::topology::open_edge_vertices;
use super::averaged::{WITHIN_DEVIATION, averaged};
use super::curves::cell_of;
use crate::numerics::{Vec3, least_and_most};

/// A skin less rough than this, m, is as it was drawn: its farthest corner counts.
pub(super) const SMOOTH_M: f64 = 1e-4;
/// The fit takes the skin that lies this near to the farthest corner, in standard deviations
/// of the roughness that drawn corners keep: the first that holds so many corners, and from there on the widest that
/// the fit still follows within so many deviations and whose answer agrees with all narrower
/// ones within so many of theirs (the rule of O. V. Lepskii, Theory of Probability and Its
/// Applications 35, 1990; from memory), as long as each makes the answer surer by a tenth: a
/// fit that is wider than the skin is like it bends past the base by half of the noise and
/// more.
const DEPTHS: [f64; 6] = [6.0, 9.0, 13.0, 20.0, 30.0, 45.0];
const LEAST_CORNERS: usize = 16;
const FOLLOWS: f64 = 1.25;
const AGREES: f64 = 1.5;
const SURER: f64 = 0.9;
/// By so much of the roughness the fit may lie off where the skin is none of its shapes: under
/// a flat bottom, or at the end of a sharp keel that is not quite level.
const MISFIT: f64 = 0.5;
/// Corners that stand out of the fit by more deviations than this are no noise but a thing
/// that the hull has there: a skeg, a bolt. Of 10 000 normal numbers none lies so far off;
/// one or two corners may all the same be a scanner's slip.
const STANDS_OUT: f64 = 4.5;
const LEAST_OUT: usize = 4;
/// Corners nearer than this, m, share the waves of a scan.
const WAVE_M: f64 = 0.15;
/// Corners farther from the rest than this, m, belong to another end: a twin hull's.
const APART_M: f64 = 0.1;
const TRIFLE: f64 = 1e-9;
/// Fits drawn at random about one, and places at which each is looked at.
const DRAWS: usize = 60;
const MOST_PLACES: usize = 2000;
/// Skin that was seen so near to the centre plane, m, goes on to it: farther off, past a
/// hole that a floor left, a fit tells nothing.
const NEAR_MIDDLE_M: f64 = 0.02;
/// A keel is followed by its fits where they reach the centre plane on this share of it.
const SEEN_SHARE: f64 = 0.75;
/// Strips along a smooth hull in which the lowest corner is looked for.
const STRIPS: usize = 600;
/// A keel is fitted at such steps, m, over so many each way; a mesh in the wrong unit takes
/// no more than so many.
const KEEL_STEP_M: f64 = 0.02;
const KEEL_WIDE: i32 = 8;
const MOST_STEPS: f64 = 1000.0;

/// Drawing corners to the middle of those round them leaves this share of what differs from
/// corner to corner.
const DRAWN_LEAVES: f64 = 0.25;

/// Corners of a scan as they lie, as they are drawn, and their roughness.
#[derive(Debug, Clone)]
pub(super) struct Rough {
    pub(super) corners: Vec<Vec3>,
    /// See [`super::averaged::averaged`]: corners that are taken by their own height bring
    /// those that noise carried far and leave the others.
    pub(super) drawn: Vec<Vec3>,
    /// Standard deviation of the corners, m, and of the drawn ones.
    pub(super) noise_m: f64,
    left_m: f64,
    /// Share of the roughness' square that is waves, which many corners have in common.
    waves_share: f64,
}

impl Rough {
    /// Of a surface whose sides differ by noise of such a standard deviation, m; where they
    /// are known to be alike, and so tell nothing, `None`, and the roughness by its edges.
    ///
    /// What differs from corner to corner is told by the skin itself. At a random place of a
    /// triangle half of its square is left (the mean of the squared shares of the corners
    /// there), so that what sides differ by more is waves.
    pub(super) fn of(surface: &Surface, by_sides_m: Option<f64>, by_edges_m: f64) -> Self {
        let (drawn, own_m) = averaged(surface);
        let own = own_m * own_m;
        let waves = match by_sides_m {
            Some(by_sides_m) => by_sides_m * by_sides_m - own / 2.0,
            None => (by_edges_m * by_edges_m - own).max(own),
        };
        let waves = waves.max(0.0);
        let noise_m = (own + waves).sqrt();
        // A corner of a torn edge has few round it to be drawn by: it tells nothing here.
        let mut at_edge = vec![false; drawn.len()];
        if own_m > 0.0 {
            for v in open_edge_vertices(surface) {
                at_edge[v as usize] = true;
            }
        }
        let inner = |corners: &[Vec3]| -> Vec<Vec3> {
            let corners = corners.iter().zip(&at_edge);
            corners
                .filter(|(_, edge)| !**edge)
                .map(|(v, _)| *v)
                .collect()
        };
        Self {
            corners: inner(&surface.vertices),
            drawn: inner(&drawn),
            noise_m,
            left_m: waves.sqrt().max(DRAWN_LEAVES * noise_m),
            waves_share: waves / (own + waves).max(f64::MIN_POSITIVE),
        }
    }

    /// The same moved.
    pub(super) fn moved(&self, to: impl Fn(&Vec3) -> Vec3) -> Self {
        Self {
            corners: self.corners.iter().map(&to).collect(),
            drawn: self.drawn.iter().map(&to).collect(),
            ..*self
        }
    }
}

/// How far a skin reaches, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Reach {
    pub(super) at_m: f64,
    /// Two standard deviations of it, m.
    pub(super) error_m: f64,
}

/// How far an upright hull, its centre plane at y = 0, reaches along `way` (x or z).
pub(super) fn reach(scan: &Rough, way: &Vec3) -> Reach {
    let (corners, noise_m) = (&scan.corners, scan.noise_m);
    let farthest_m = |corners: &[Vec3]| {
        let along = corners.iter().map(|v| v.dot(way));
        along.fold(f64::NEG_INFINITY, f64::max)
    };
    let top_m = farthest_m(&scan.drawn);
    let farthest = Reach {
        at_m: farthest_m(corners),
        error_m: 0.0,
    };
    if noise_m < SMOOTH_M {
        return farthest;
    }
    let mut best: Option<(Fit, f64, f64)> = None;
    let mut narrower: Vec<(f64, f64)> = Vec::new();
    for depth in DEPTHS {
        let near: Vec<Vec3> = corners
            .iter()
            .zip(&scan.drawn)
            .filter(|(_, v)| v.dot(way) > top_m - depth * scan.left_m)
            .map(|(corner, drawn)| beside_as_drawn(corner, drawn))
            .collect();
        let fits = clusters(&near).into_iter();
        let fits = fits.filter_map(|near| Fit::through(&near, way, scan.waves_share));
        let Some(fit) = fits.max_by(|a, b| a.top_m().total_cmp(&b.top_m())) else {
            continue;
        };
        let (too_far_m, deviation_m) = fit.too_far();
        let at_m = fit.top_m() - too_far_m;
        let agrees = |(other_m, its_m): &(f64, f64)| (at_m - other_m).abs() < AGREES * its_m;
        let follows = fit.scatter_m < FOLLOWS * noise_m && narrower.iter().all(agrees);
        let surer = |its_m: f64| deviation_m < SURER * its_m;
        if best.as_ref().is_some_and(|best| !follows || !surer(best.2)) {
            break;
        }
        narrower.push((at_m, deviation_m));
        best = Some((fit, at_m, deviation_m));
    }
    let unsure = Reach {
        error_m: 2.0 * noise_m,
        ..farthest
    };
    let Some((fit, at_m, deviation_m)) = best else {
        return unsure;
    };
    let stands_out = |v: &&Vec3| v.dot(way) > at_m + STANDS_OUT * fit.scatter_m;
    if fit.scatter_m < SMOOTH_M {
        farthest
    } else if corners.iter().filter(stands_out).count() >= LEAST_OUT {
        unsure
    } else {
        Reach {
            at_m,
            error_m: (2.0 * deviation_m).hypot(MISFIT * noise_m),
        }
    }
}

/// A corner as far beside the centre plane as it is when drawn. Its own distance errs by its
/// noise, and always outward on a keel: a fit to that takes a V for blunt, and reaches past it.
fn beside_as_drawn(corner: &Vec3, drawn: &Vec3) -> Vec3 {
    Vec3::new(corner.x, drawn.y, corner.z)
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

/// Heights of an upright hull's averaged keel, with their standard deviations, at even steps
/// along x, m. Of a bottom that a floor hid, the lowest corners: the edge that the floor
/// left is level, and past it nothing is known.
pub(super) fn keel(scan: &Rough) -> Vec<(f64, f64, f64)> {
    let (corners, noise_m) = (&scan.corners, scan.noise_m);
    if noise_m < SMOOTH_M {
        return lowest_corners(corners, 0.0);
    }
    let (lo, hi) = least_and_most(corners.iter().map(|v| v.x));
    let step_m = KEEL_STEP_M.max((hi - lo) / MOST_STEPS);
    let slot = |x: f64| cell_of(&Vec3::new(x - lo, 0.0, 0.0), step_m)[0];
    let mut slots: HashMap<i32, Vec<(Vec3, f64)>> = HashMap::new();
    for (v, drawn) in corners.iter().zip(&scan.drawn) {
        let at = slots.entry(slot(v.x)).or_default();
        at.push((beside_as_drawn(v, drawn), drawn.z));
    }
    let steps = 0..=slot(hi);
    let mut seen = 0.0;
    let keel: Vec<(f64, f64, f64)> = steps
        .clone()
        .filter_map(|at| {
            let near = (at - KEEL_WIDE..=at + KEEL_WIDE).filter_map(|k| slots.get(&k));
            let near: Vec<(Vec3, f64)> = near.flatten().copied().collect();
            let x = lo + (f64::from(at) + 0.5) * step_m;
            let fit = keel_fit(&near, scan)?;
            let (height_m, deviation_m) = fit.crest_at(x)?;
            seen += f64::from(u8::from(fit.holds_middle_at(x)));
            Some((x, -height_m, deviation_m))
        })
        .collect();
    if seen < SEEN_SHARE * steps.count() as f64 {
        return lowest_corners(corners, noise_m);
    }
    keel
}

/// The lowest corners, one a strip along x, as sure as is said.
fn lowest_corners(placed: &[Vec3], deviation_m: f64) -> Vec<(f64, f64, f64)> {
    let (lo, hi) = least_and_most(placed.iter().map(|v| v.x));
    let width = (hi - lo) / STRIPS as f64;
    let mut lowest: Vec<Option<(f64, f64, f64)>> = vec![None; STRIPS];
    for v in placed {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a share of the length, not below zero"
        )]
        let strip = (((v.x - lo) / width) as usize).min(STRIPS - 1);
        let slot = &mut lowest[strip];
        if slot.is_none_or(|(_, z, _)| v.z < z) {
            *slot = Some((v.x, v.z, deviation_m));
        }
    }
    lowest.into_iter().flatten().collect()
}

/// The skin of a stretch of keel, its corners with their heights when drawn, as
/// deep as the fit follows it.
fn keel_fit(near: &[(Vec3, f64)], scan: &Rough) -> Option<Fit> {
    let lowest_m = near.iter().map(|(_, z)| *z).fold(f64::INFINITY, f64::min);
    let mut best: Option<Fit> = None;
    for depth in DEPTHS {
        let low = near
            .iter()
            .filter(|(_, z)| *z < lowest_m + depth * scan.left_m);
        let low: Vec<Vec3> = low.map(|(v, _)| *v).collect();
        let Some(fit) = Fit::through(&low, &-Vec3::z(), scan.waves_share) else {
            continue;
        };
        if best.is_some() && fit.scatter_m > FOLLOWS * scan.noise_m {
            break;
        }
        best = Some(fit);
    }
    best
}

/// A surface through the skin where it reaches farthest.
struct Fit {
    points: Vec<Vec3>,
    heights: DVector<f64>,
    solved: DVector<f64>,
    inverse: DMatrix<f64>,
    /// Across the way: x for heights along z, and the other way about.
    along: Vec3,
    /// Whether it holds the centre plane; then the second direction is the distance from it.
    straddles: bool,
    s_range: Range,
    t_range: Range,
    /// Standard deviation of the corners about it, m.
    scatter_m: f64,
    /// Share of its square that is waves.
    waves_share: f64,
}

impl Fit {
    /// Height over two directions across the way, by least squares: of the fourth degree
    /// along the first and over the distance from the centre plane, so that a keel may be
    /// sharp and a bottom flat; where the points are few, of the second degree.
    fn through(points: &[Vec3], way: &Vec3, waves_share: f64) -> Option<Self> {
        let count = points.len();
        if count < LEAST_CORNERS {
            return None;
        }
        let along = if way.x == 0.0 { Vec3::x() } else { Vec3::z() };
        let straddles = points.iter().any(|p| p.y > 0.0) && points.iter().any(|p| p.y < 0.0);
        let columns = match count / LEAST_CORNERS {
            0..=4 => 6,
            5..=8 => 8,
            _ => 10,
        };
        let across = |p: &Vec3| if straddles { p.y.abs() } else { p.y };
        let mut fit = Self {
            points: points.to_vec(),
            heights: DVector::from_fn(count, |i, _| points[i].dot(way)),
            solved: DVector::zeros(columns),
            inverse: DMatrix::zeros(columns, columns),
            along,
            straddles,
            s_range: Range::of(points, |p| p.dot(&along)),
            t_range: Range::of(points, across),
            scatter_m: 0.0,
            waves_share,
        };
        let rows: Vec<DVector<f64>> = points
            .iter()
            .map(|p| fit.row(p.dot(&along), across(p)))
            .collect();
        let matrix = DMatrix::from_fn(count, columns, |i, j| rows[i][j]);
        // A trifle on the diagonal: points in a row leave a direction free.
        let trifle = DMatrix::identity(columns, columns) * (TRIFLE * count as f64);
        fit.inverse = (matrix.transpose() * &matrix + trifle).try_inverse()?;
        fit.solved = &fit.inverse * (matrix.transpose() * &fit.heights);
        let off = &fit.heights - &matrix * &fit.solved;
        let off: Vec<f64> = off.iter().map(|off| off.abs()).collect();
        let spare = (count - columns) as f64 / count as f64;
        fit.scatter_m = quantile(off, WITHIN_DEVIATION) / spare.sqrt();
        Some(fit)
    }

    fn row(&self, s: f64, t: f64) -> DVector<f64> {
        let (s, t) = (self.s_range.share(s), self.t_range.share(t));
        let second = [1.0, s, t, s * s, s * t, t * t];
        let higher = [s.powi(3), s.powi(4), t.powi(3), t.powi(4)];
        let terms: Vec<f64> = second.into_iter().chain(higher).collect();
        DVector::from_fn(self.solved.len(), |k, _| terms[k])
    }

    /// By how much the highest of the fit lies too high on average, since the highest place of
    /// a surface that is itself unsure is one where it errs upward, and its standard deviation:
    /// from fits drawn at random about this one, as likely as noise makes them (a parametric
    /// bootstrap: B. Efron, The Annals of Statistics 7, 1979; from memory).
    fn too_far(&self) -> (f64, f64) {
        let Some(root) = self.inverse.clone().cholesky() else {
            return (0.0, self.scatter_m);
        };
        let unsure_m = self.scatter_m * self.variance_times().sqrt();
        let own = self.places();
        let step = own.len().div_ceil(MOST_PLACES);
        let rows = own.into_iter().step_by(step).map(|(s, t)| self.row(s, t));
        let rows: Vec<DVector<f64>> = rows.collect();
        let top_m = |solved: &DVector<f64>| {
            let heights = rows.iter().map(|row| row.dot(solved));
            heights.fold(f64::NEG_INFINITY, f64::max)
        };
        let known_m = top_m(&self.solved);
        let mut random = fastrand::Rng::with_seed(1);
        let mut normal = || (0..12).map(|_| random.f64()).sum::<f64>() - 6.0;
        let drawn: Vec<f64> = (0..DRAWS)
            .map(|_| {
                let off = DVector::from_fn(self.solved.len(), |_, _| unsure_m * normal());
                top_m(&(&self.solved + root.l() * off)) - known_m
            })
            .collect();
        let mean = drawn.iter().sum::<f64>() / DRAWS as f64;
        let squares = drawn.iter().map(|off| (off - mean).powi(2));
        (mean, (squares.sum::<f64>() / DRAWS as f64).sqrt())
    }

    /// By how much waves, which corners near each other share, make the fit's variance larger.
    fn variance_times(&self) -> f64 {
        let mut apart: Vec<[i32; 3]> = self.points.iter().map(|p| cell_of(p, WAVE_M)).collect();
        apart.sort_unstable();
        apart.dedup();
        let shared = (self.points.len() as f64 / apart.len() as f64).max(1.0);
        1.0 - self.waves_share + self.waves_share * shared
    }

    /// The highest of places, each along and across, and its standard deviation.
    fn crest(&self, places: impl Iterator<Item = (f64, f64)>) -> Option<(f64, f64)> {
        let rows = places.map(|(s, t)| {
            let row = self.row(s, t);
            (row.dot(&self.solved), row)
        });
        let (high_m, row) = rows.max_by(|a, b| a.0.total_cmp(&b.0))?;
        let leverage = row.dot(&(&self.inverse * &row)).min(1.0);
        let variance = (leverage * self.variance_times()).min(1.0);
        Some((high_m, self.scatter_m * variance.sqrt()))
    }

    /// The highest where it was fitted.
    fn top_m(&self) -> f64 {
        let heights = self.places().into_iter();
        let heights = heights.map(|(s, t)| self.row(s, t).dot(&self.solved));
        heights.fold(f64::NEG_INFINITY, f64::max)
    }

    /// Where it was fitted, and the centre plane beside that; along and across.
    fn places(&self) -> Vec<(f64, f64)> {
        let along = |p: &Vec3| p.dot(&self.along);
        let middle = self.points.iter().filter(|p| self.is_near_middle(p));
        let middle = middle.map(|p| (along(p), 0.0));
        let own = self.points.iter().map(|p| (along(p), self.across(p)));
        own.chain(middle).collect()
    }

    /// The highest at a place along it; `None` where no skin was fitted.
    fn crest_at(&self, s: f64) -> Option<(f64, f64)> {
        let middle = self.holds_middle_at(s).then_some((s, 0.0));
        let beside = self.near(s).map(|p| (s, self.across(p)));
        self.crest(beside.chain(middle))
    }

    fn near(&self, s: f64) -> impl Iterator<Item = &Vec3> {
        let near = move |p: &&Vec3| (p.dot(&self.along) - s).abs() <= KEEL_STEP_M;
        self.points.iter().filter(near)
    }

    fn holds_middle_at(&self, s: f64) -> bool {
        self.near(s).any(|p| self.is_near_middle(p))
    }

    /// Whether the skin goes on from here to the centre plane, and no floor hid it there.
    fn is_near_middle(&self, p: &Vec3) -> bool {
        self.straddles && p.y.abs() < NEAR_MIDDLE_M
    }

    fn across(&self, p: &Vec3) -> f64 {
        if self.straddles { p.y.abs() } else { p.y }
    }
}

/// Values from least to most, brought to -1 … 1.
struct Range {
    middle: f64,
    half: f64,
}

impl Range {
    fn of(points: &[Vec3], value: impl Fn(&Vec3) -> f64) -> Self {
        let (lo, hi) = least_and_most(points.iter().map(value));
        Self {
            middle: f64::midpoint(lo, hi),
            half: (hi - lo).max(f64::MIN_POSITIVE) / 2.0,
        }
    }

    fn share(&self, value: f64) -> f64 {
        (value - self.middle) / self.half
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const WAVES: usize = 50;
    /// What the mean of eight seeds may be off, in deviations of the noise: what the ± holds.
    const MEAN_OFF: f64 = MISFIT;

    /// A bottom 3.6 m long on a grid: its section a power of the distance from the middle, its
    /// keel of some rocker; the base at 0. Its noise moves every corner by itself or, as
    /// `waves`, is a sum of waves some 0.1 m long and more.
    fn bottom(
        (power, rocker_m): (f64, f64),
        edge_m: f64,
        (noise_m, waves): (f64, bool),
        seed: u64,
    ) -> Surface {
        let mut random = fastrand::Rng::with_seed(seed);
        let mut normal = || (0..12).map(|_| random.f64()).sum::<f64>() - 6.0;
        let all: Vec<[f64; 3]> = (0..WAVES)
            .map(|_| [normal() / 0.04, normal() / 0.04, 10.0 * normal()])
            .collect();
        #[expect(clippy::cast_possible_truncation, reason = "some hundred edges")]
        let half = |wide: f64| (wide / edge_m).round() as i32;
        let (long, broad) = (half(1.8), half(0.34));
        let mut surface = Surface::default();
        for i in -long..=long {
            for j in -broad..=broad {
                let (x, y) = (f64::from(i) * edge_m, f64::from(j) * edge_m);
                let half_m = 0.35 * (1.0 - (x / 1.85).powi(2)).powf(0.6);
                let share = (y.abs() / half_m).min(1.3);
                let z = rocker_m * (x / 1.8).powi(2) + 0.15 * share.powf(power);
                let place = Vec3::new(x, y, z);
                let off = if waves {
                    let heights = all.iter().map(|[k, l, from]| (k * x + l * y + from).cos());
                    Vec3::z() * heights.sum::<f64>() * (2.0 / WAVES as f64).sqrt()
                } else {
                    Vec3::new(normal(), normal(), normal())
                };
                surface.vertices.push(place + off * noise_m);
            }
        }
        let number = |i: i32, j: i32| {
            u32::try_from((i + long) * (2 * broad + 1) + j + broad).expect("few corners")
        };
        for i in 1 - long..=long {
            for j in 1 - broad..=broad {
                let [a, b] = [number(i - 1, j - 1), number(i, j - 1)];
                let [c, d] = [number(i, j), number(i - 1, j)];
                surface.faces.extend([[a, c, b], [a, d, c]]);
            }
        }
        surface
    }

    #[test]
    fn the_base_of_a_rough_bottom_is_that_of_its_middle() {
        for (what, power, rocker_m) in [
            ("flat", 6.0, 0.0),
            ("flat, rocker", 6.0, 0.03),
            ("full", 3.0, 0.02),
            ("round", 2.0, 0.06),
            ("V", 1.0, 0.04),
        ] {
            for (edge_m, waves) in [(0.01, false), (0.02, false), (0.02, true)] {
                for noise_m in [0.0008, 0.002] {
                    let found: Vec<Reach> = (20..28)
                        .map(|seed| {
                            let noise = (noise_m, waves);
                            let scan = bottom((power, rocker_m), edge_m, noise, seed);
                            // White noise is known by the scan itself, waves by its sides.
                            let by_sides_m = if waves { noise_m } else { 0.0 };
                            reach(&Rough::of(&scan, Some(by_sides_m), 0.0), &-Vec3::z())
                        })
                        .collect();
                    let count = found.len() as f64;
                    let mean = found.iter().map(|r| -r.at_m).sum::<f64>() / count;
                    let inside = found.iter().filter(|r| r.at_m.abs() < r.error_m).count();
                    let error = found.iter().map(|r| r.error_m).sum::<f64>() / count;
                    let told = format!(
                        "{what}, edges {edge_m}, noise {noise_m}, waves {waves}: base {:+.2} mm, {inside} of 8 inside ± {:.2}",
                        1e3 * mean,
                        1e3 * error
                    );
                    eprintln!("{told}");
                    // Waves leave so few places that know nothing of each other that the
                    // lowest of a flat bottom is known no better than its ±, and on average
                    // lies low: not good enough yet.
                    let (allowed, least) = if waves {
                        (error, 6)
                    } else {
                        (MEAN_OFF * noise_m, 7)
                    };
                    assert!(mean.abs() < allowed && inside >= least, "{told}");
                }
            }
        }
    }
}
