//! The least energy that puts an opening under: sinkage, heel and pitch all at
//! once.
use nalgebra::{Matrix3, Vector3};

use super::energy::{Craft, EnergyAt};
use super::rest::Rest;
use super::sills::{Sill, Sills};
use super::step::trust_region_step;
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// Starts tried for each opening, apart from each other: its corners.
const STARTS: usize = 4;
/// Starts nearer to each other than this share of the rim's extent are one.
const APART: f64 = 0.2;
/// Slope (as a lever over the rim point's distance) at which a minimum counts
/// as found.
const SLOPE_TOLERANCE: f64 = 1e-9;
/// Kernel calls after which a start is given up: its energy so far is an upper
/// bound and is used as one.
const MOST_CALLS: usize = 100;
/// First and largest trust radius, rad.
const LARGEST_RADIUS: f64 = 0.1;
/// Radius below which no better attitude is found.
const SMALLEST_RADIUS: f64 = 1e-10;

/// The cheapest way to bring a sill to the water.
#[derive(Debug, Clone)]
pub struct Knock {
    /// Energy over that at rest, m⁴ (times density and gravity: joules).
    pub work_m4: f64,
    /// The sill, at the water.
    pub sill: Sill,
    /// The water plane there.
    pub plane: WaterPlane,
    /// Volume displaced there less that at rest, m³.
    pub pressed_under_m3: f64,
    /// Whether the search met its tolerance; else `work_m4` is an upper bound.
    pub converged: bool,
    /// Kernel calls taken.
    pub kernel_calls: usize,
}

/// The cheapest way to bring each opening's sill to the water, displacement not
/// held: the least of the energy over all attitudes whose water plane passes
/// through a rim point. Starts from the rim points that are cheapest by the
/// curvature at rest; ends where the point is the lowest of its rim. An opening
/// already under water takes none. In the order of [`Sills::rims`].
#[must_use]
pub fn knock(craft: &Craft, sills: &Sills, rest: &Rest) -> Vec<Knock> {
    let at_rest = craft.energy_at(rest.plane());
    sills
        .rims()
        .filter_map(|(opening, rim)| knock_opening(craft, opening, rim, &at_rest))
        .collect()
}

fn knock_opening(craft: &Craft, opening: usize, rim: &[Vec3], at_rest: &EnergyAt) -> Option<Knock> {
    let plane = at_rest.immersion.plane;
    let lowest = rim
        .iter()
        .min_by(|a, b| plane.height_m(a).total_cmp(&plane.height_m(b)))?;
    if plane.height_m(lowest) <= 0.0 {
        return Some(Knock {
            work_m4: 0.0,
            sill: Sill {
                opening,
                point_m: *lowest,
                height_m: plane.height_m(lowest),
            },
            plane,
            pressed_under_m3: 0.0,
            converged: true,
            kernel_calls: 0,
        });
    }
    let mut calls = 0;
    let mut best: Option<Knock> = None;
    for (point, up) in starts(rim, at_rest) {
        let mut search = Search::new(craft, opening, point, up);
        // A rim point that ends up lower is cheaper to reach: go on with it.
        for _ in 0..STARTS {
            search.run();
            let here = search.here.immersion.plane;
            let under = rim
                .iter()
                .min_by(|a, b| here.height_m(a).total_cmp(&here.height_m(b)))?;
            let within = 1e-9 * rim_extent_m(rim);
            if here.height_m(under) >= -within {
                break;
            }
            search = Search::new(craft, opening, *under, here.up).after(search.calls);
        }
        calls += search.calls;
        let found = search.knock(at_rest);
        if best.as_ref().is_none_or(|b| found.work_m4 < b.work_m4) {
            best = Some(found);
        }
    }
    best.map(|mut best| {
        best.kernel_calls = calls;
        best
    })
}

/// The rim points that are cheapest to reach by the curvature at rest, apart
/// from each other, with the vertical that reaches them.
fn starts(rim: &[Vec3], at_rest: &EnergyAt) -> Vec<(Vec3, Vec3)> {
    let plane = at_rest.immersion.plane;
    let axes = plane.axes();
    let Some(inverse) = at_rest.curvature.try_inverse() else {
        return rim.iter().take(1).map(|p| (*p, plane.up)).collect();
    };
    // height = h0 + (tilt · q) − δλ with q from the reference point.
    let mut ranked: Vec<(f64, Vec3, Vec3)> = rim
        .iter()
        .map(|point| {
            let q = point - at_rest.immersion.reference_m;
            let falls = Vector3::new(1.0, -q.dot(&axes.forward), -q.dot(&axes.port));
            let reach = inverse * falls;
            let ease = falls.dot(&reach);
            let height = plane.height_m(point);
            let step = reach * (height / ease);
            let tilt = axes.forward * step[1] + axes.port * step[2];
            let work = height * height / (2.0 * ease);
            // A craft unstable at rest has no ease: start it level.
            if ease > 0.0 && tilt.norm() < 1.0 {
                (work, *point, (plane.up + tilt).normalize())
            } else {
                (height, *point, plane.up)
            }
        })
        .collect();
    ranked.sort_by(|a, b| a.0.total_cmp(&b.0));
    let apart = APART * rim_extent_m(rim);
    let mut chosen: Vec<(Vec3, Vec3)> = Vec::new();
    for (_, point, up) in ranked {
        if chosen.len() < STARTS && chosen.iter().all(|(p, _)| (p - point).norm() >= apart) {
            chosen.push((point, up));
        }
    }
    chosen
}

fn rim_extent_m(rim: &[Vec3]) -> f64 {
    let first = rim.first().copied().unwrap_or_default();
    rim.iter()
        .map(|point| (point - first).norm())
        .fold(f64::MIN_POSITIVE, f64::max)
}

/// Least energy over the vertical, with the water plane through one point.
struct Search<'a> {
    craft: &'a Craft,
    opening: usize,
    point: Vec3,
    here: EnergyAt,
    calls: usize,
    converged: bool,
}

impl<'a> Search<'a> {
    fn new(craft: &'a Craft, opening: usize, point: Vec3, up: Vec3) -> Self {
        Self {
            craft,
            opening,
            point,
            here: craft.energy_at(&WaterPlane {
                up,
                level_m: up.dot(&point),
            }),
            calls: 1,
            converged: false,
        }
    }

    fn after(mut self, calls: usize) -> Self {
        self.calls += calls;
        self
    }

    /// Slope and curvature over forward and port tilt with the level tied to
    /// the point, `λ = up·q`: `δλ = δ·q − ½ δ² up·q`.
    fn tied(&self) -> (Vector3<f64>, Matrix3<f64>) {
        let at = &self.here;
        let axes = at.immersion.plane.axes();
        let q = self.point - at.immersion.reference_m;
        let level_along = [q.dot(&axes.forward), q.dot(&axes.port)];
        let sag = at.immersion.plane.up.dot(&q);
        let mut slope = Vector3::zeros();
        let mut curvature = Matrix3::identity();
        for i in 0..2 {
            slope[i] = at.slope[i + 1] + at.slope[0] * level_along[i];
            for j in 0..2 {
                curvature[(i, j)] = at.curvature[(i + 1, j + 1)]
                    + at.curvature[(0, i + 1)] * level_along[j]
                    + at.curvature[(0, j + 1)] * level_along[i]
                    + at.curvature[(0, 0)] * level_along[i] * level_along[j];
            }
            curvature[(i, i)] -= at.slope[0] * sag;
        }
        // The third place is not used: as stiff as the others, no slope.
        curvature[(2, 2)] = curvature[(0, 0)].abs() + curvature[(1, 1)].abs();
        (slope, curvature)
    }

    fn run(&mut self) {
        let mut radius = LARGEST_RADIUS;
        let volume = self.craft.volume_to_displace_m3();
        let distance = (self.point - self.here.immersion.reference_m).norm();
        let slope_within = SLOPE_TOLERANCE * volume * distance.max(f64::MIN_POSITIVE);
        let noise = 64.0 * f64::EPSILON * volume * distance;
        while self.calls < MOST_CALLS {
            let (slope, curvature) = self.tied();
            if slope.norm() <= slope_within {
                self.converged = true;
                return;
            }
            let (step, gain) = trust_region_step(&slope, &curvature, radius);
            let plane = self.here.immersion.plane;
            let axes = plane.axes();
            let tilt = axes.forward * step[0] + axes.port * step[1];
            let angle = tilt.norm();
            if angle <= 0.0 || radius < SMALLEST_RADIUS {
                return;
            }
            let up = (plane.up * angle.cos() + tilt * (angle.sin() / angle)).normalize();
            let there = self.craft.energy_at(&WaterPlane {
                up,
                level_m: up.dot(&self.point),
            });
            self.calls += 1;
            let drop = self.here.energy_m4 - there.energy_m4;
            let good = if gain > noise { drop / gain } else { 1.0 };
            if good < 0.25 {
                radius = step.norm().min(radius) / 4.0;
            } else if good > 0.75 && step.norm() > 0.9 * radius {
                radius = (2.0 * radius).min(LARGEST_RADIUS);
            }
            if good > 1e-3 {
                self.here = there;
            }
        }
    }

    fn knock(&self, at_rest: &EnergyAt) -> Knock {
        let plane = self.here.immersion.plane;
        Knock {
            work_m4: self.here.energy_m4 - at_rest.energy_m4,
            sill: Sill {
                opening: self.opening,
                point_m: self.point,
                height_m: plane.height_m(&self.point),
            },
            plane,
            pressed_under_m3: self.here.immersion.volume_m3 - at_rest.immersion.volume_m3,
            converged: self.converged,
            kernel_calls: self.calls,
        }
    }
}
