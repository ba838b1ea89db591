//! The energy with the water at an opening's brim, and where it is least.
use nalgebra::{Matrix2, Matrix3, Vector2, Vector3};

use super::energy::EnergyAt;
use super::landscape::Landscape;
use super::rest::Rest;
use super::sills::Sill;
use crate::boat::lowest_along;
use crate::immersion::{Immersion, WaterPlane};
use crate::numerics::{Vec3, trust_region_step};

/// First and largest trust radius, rad of `w`.
const FIRST_RADIUS: f64 = 0.25;
const LARGEST_RADIUS: f64 = 0.5;
/// Radius below which no better attitude is found.
const SMALLEST_RADIUS: f64 = 1e-9;
/// Steps after which a start is given up: its energy so far is an upper bound.
const MOST_STEPS: usize = 60;
/// A minimum counts as found once a step can gain no more than this share of the volume
/// times the size: some ten times the rounding of an energy.
const GAIN_WITHIN: f64 = 1e-14;
/// Share of the volume within which floating levels are solved.
const VOLUME_WITHIN: f64 = 1e-9;

/// An opening's rim on a craft: `F(up)` is the energy with the level at the rim's lowest
/// point, or at the floating level where that is higher. The least over the rim's
/// corners of functions each smooth, since energy rises with the level from there.
pub(super) struct Brim<'a> {
    land: &'a Landscape<'a>,
    rim: &'a [Vec3],
    /// About the greatest distance between rim points, m.
    pub(super) extent_m: f64,
    /// Volume above the water with the displacement held, m³.
    spare_m3: f64,
}

/// `F` at one attitude.
#[derive(Debug, Clone)]
pub(super) struct Low {
    /// The lowest rim point.
    pub(super) corner: Vec3,
    /// The water plane: through the corner, or floating with it under water.
    pub(super) plane: WaterPlane,
    /// Whether the craft floats there with the sill under.
    pub(super) wet: bool,
    pub(super) energy_m4: f64,
    pub(super) converged: bool,
    slope: Vector2<f64>,
    curvature: Matrix2<f64>,
    tilts: [Vec3; 2],
    /// The energy over level and tilts, where the plane goes through the corner.
    at: Option<EnergyAt>,
}

/// What the energy at a minimum foretells of the least with another corner lowest.
pub(super) struct Foretold {
    pub(super) corner: Vec3,
    pub(super) energy_m4: f64,
    pub(super) up: Vec3,
}

impl<'a> Brim<'a> {
    /// `None` for a rim without points.
    pub(super) fn new(land: &'a Landscape<'a>, rim: &'a [Vec3]) -> Option<Self> {
        let first = rim.first()?;
        let far = rim.iter().map(|point| (point - first).norm());
        Some(Self {
            land,
            rim,
            extent_m: far.fold(f64::MIN_POSITIVE, f64::max),
            spare_m3: land.craft.displacers.volume_m3() - land.volume_m3,
        })
    }

    /// The rim's lowest point at an attitude.
    pub(super) fn lowest(&self, up: &Vec3) -> Vec3 {
        self.rim[lowest_along(self.rim, up)]
    }

    pub(super) fn sill(&self, opening: usize, plane: &WaterPlane) -> Sill {
        let point_m = self.lowest(&plane.up);
        Sill {
            opening,
            point_m,
            height_m: plane.height_m(&point_m),
        }
    }

    /// How far the sill stands over the highest point of the hull, m.
    pub(super) fn over_hull_m(&self, plane: &WaterPlane) -> f64 {
        let highest = self.land.craft.displacers.lowest_m(&-plane.up);
        let corner = self.lowest(&plane.up);
        highest.map_or(f64::INFINITY, |highest| plane.up.dot(&(corner - highest)))
    }

    /// About the energy that pressing the craft down by a gap takes, m⁴: half the
    /// waterplane's area times its square, or the lift of the whole hull.
    pub(super) fn pressing_m4(&self, area_m2: f64, gap_m: f64) -> f64 {
        (area_m2 * gap_m * gap_m / 2.0).min(self.spare_m3 * gap_m)
    }

    /// A rest with the sill under water.
    pub(super) fn at_rest(&self, rest: &Rest) -> Option<Low> {
        let plane = *rest.plane();
        let corner = self.lowest(&plane.up);
        (plane.height_m(&corner) <= 0.0).then(|| Low {
            corner,
            plane,
            wet: true,
            energy_m4: rest.energy_m4,
            converged: true,
            slope: Vector2::zeros(),
            curvature: Matrix2::identity(),
            tilts: [Vec3::zeros(); 2],
            at: None,
        })
    }

    fn at(&self, up: &Vec3) -> Low {
        let corner = self.lowest(up);
        let plane = WaterPlane {
            up: *up,
            level_m: up.dot(&corner),
        };
        let at = self.land.energy_at(&plane);
        if at.slope[0] < 0.0 {
            let area = at.curvature[(0, 0)];
            let guess = WaterPlane {
                up: *up,
                level_m: plane.level_m - at.slope[0] / area.max(f64::MIN_POSITIVE),
            };
            let spot = self.land.spot(&guess, VOLUME_WITHIN);
            return Low {
                corner,
                plane: spot.plane,
                wet: true,
                energy_m4: spot.energy_m4,
                converged: false,
                slope: spot.slope,
                curvature: spot.curvature,
                tilts: spot.tilts,
                at: None,
            };
        }
        let (_, tilts) = self.land.tilts(&self.land.stretched(up));
        let (slope, curvature) = tied(&at, &corner, &tilts);
        Low {
            corner,
            plane,
            wet: false,
            energy_m4: at.energy_m4,
            converged: false,
            slope,
            curvature,
            tilts,
            at: Some(at),
        }
    }

    /// The least `F` downhill from an attitude: trust-region Newton steps, each going
    /// over to the corner that is lowest where it ends.
    pub(super) fn least_from(&self, up: &Vec3) -> Low {
        let mut here = self.at(up);
        let mut radius = FIRST_RADIUS;
        let noise = GAIN_WITHIN * self.land.volume_m3 * self.land.size_m;
        for _ in 0..MOST_STEPS {
            let (step, gain) = step_in_two(&here.slope, &here.curvature, radius);
            if gain <= noise {
                here.converged = true;
                break;
            }
            if radius < SMALLEST_RADIUS {
                break;
            }
            let there = self.at(&Landscape::moved(&here.plane.up, &here.tilts, &step));
            let good = (here.energy_m4 - there.energy_m4) / gain;
            if good < 0.25 {
                radius = step.norm().min(radius) / 4.0;
            } else if good > 0.75 && step.norm() > 0.9 * radius {
                radius = (2.0 * radius).min(LARGEST_RADIUS);
            }
            if good > 1e-3 {
                here = there;
            }
        }
        here
    }

    /// What the second derivatives under a plane, at which a craft of the same displacers
    /// had this sill at the water, foretell of the least: its energy, and an attitude near
    /// it. `None` where these keep air.
    pub(super) fn foretold_near(&self, under: &Immersion) -> Option<Foretold> {
        let at = self.land.craft.energy_under(under)?;
        let up = under.plane.up;
        let corner = self.lowest(&up);
        let (_, tilts) = self.land.tilts(&self.land.stretched(&up));
        let (energy_m4, slope, curvature) = raised(&at, &corner, &tilts);
        let (step, gain) = step_in_two(&slope, &curvature, FIRST_RADIUS);
        Some(Foretold {
            corner,
            energy_m4: energy_m4 - gain,
            up: Landscape::moved(&up, &tilts, &step),
        })
    }

    /// What the energy at a minimum foretells for every other corner, the least first.
    pub(super) fn foretold(&self, low: &Low) -> Vec<Foretold> {
        let Some(at) = &low.at else {
            return Vec::new();
        };
        let mut told: Vec<Foretold> = self
            .rim
            .iter()
            .map(|corner| {
                let (energy, slope, curvature) = raised(at, corner, &low.tilts);
                let (step, gain) = step_in_two(&slope, &curvature, FIRST_RADIUS);
                Foretold {
                    corner: *corner,
                    energy_m4: energy - gain,
                    up: Landscape::moved(&low.plane.up, &low.tilts, &step),
                }
            })
            .collect();
        told.sort_by(|a, b| a.energy_m4.total_cmp(&b.energy_m4));
        told
    }
}

/// Slope and curvature of the energy along two tilts with the level tied to a corner at
/// the water.
fn tied(at: &EnergyAt, corner: &Vec3, tilts: &[Vec3; 2]) -> (Vector2<f64>, Matrix2<f64>) {
    let (_, slope, curvature) = raised(at, corner, tilts);
    (slope, curvature)
}

/// The energy with the level raised to a corner, by the second derivatives at a plane:
/// `λ = up·q`, so `δλ = h + δ·q − ½ δ² up·q` with `h` the corner's height over the plane
/// and `q` from the reference point; then its slope and curvature along two tilts.
fn raised(at: &EnergyAt, corner: &Vec3, tilts: &[Vec3; 2]) -> (f64, Vector2<f64>, Matrix2<f64>) {
    let plane = at.immersion.plane;
    let axes = plane.axes();
    let height = plane.height_m(corner);
    let q = corner - at.immersion.reference_m;
    let area = at.curvature[(0, 0)];
    let level_along = Vector2::new(q.dot(&axes.forward), q.dot(&axes.port));
    let mixed = Vector2::new(at.curvature[(0, 1)], at.curvature[(0, 2)]);
    // Slope along the level once it is raised.
    let lift = at.slope[0] + area * height;
    let slope = Vector2::new(at.slope[1], at.slope[2]) + mixed * height + level_along * lift;
    let curvature = at.curvature.fixed_view::<2, 2>(1, 1).into_owned()
        + mixed * level_along.transpose()
        + level_along * mixed.transpose()
        + level_along * level_along.transpose() * area
        - Matrix2::identity() * (lift * plane.up.dot(&q));
    let to_tilts = Matrix2::from_columns(
        &tilts.map(|tilt| Vector2::new(axes.forward.dot(&tilt), axes.port.dot(&tilt))),
    );
    (
        at.energy_m4 + at.slope[0] * height + area * height * height / 2.0,
        to_tilts.transpose() * slope,
        to_tilts.transpose() * curvature * to_tilts,
    )
}

/// [`trust_region_step`] in two variables.
fn step_in_two(slope: &Vector2<f64>, curvature: &Matrix2<f64>, radius: f64) -> (Vector2<f64>, f64) {
    // The third place is not used: as stiff as the others, no slope.
    let mut whole = Matrix3::identity() * (curvature.norm().max(f64::MIN_POSITIVE));
    whole.fixed_view_mut::<2, 2>(0, 0).copy_from(curvature);
    let (step, gain) = trust_region_step(&Vector3::new(slope[0], slope[1], 0.0), &whole, radius);
    (Vector2::new(step[0], step[1]), gain)
}
