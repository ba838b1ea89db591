//! The energy at held displacement over all attitudes, seen so that pitch and roll
//! are about equally stiff.
use std::sync::atomic::{AtomicUsize, Ordering};

use nalgebra::{Matrix2, Matrix3, SymmetricEigen, Vector2, Vector3};

use super::energy::{Craft, EnergyAt};
use crate::immersion::WaterPlane;
use crate::numerics::{Look, Vec3, rising_root};

/// An extent under this share of the middle one counts as that: of a plate stretched by
/// its own thickness all looks would lie within a few degrees of flat.
const LEAST_EXTENT: f64 = 0.2;
/// Tries at a level before it is taken as it is.
const MOST_LEVELS: usize = 60;
/// Places on a way between two spots at which its highest point is sought.
const LOOKS: u8 = 8;

/// The sphere of attitudes, stretched: a direction `w` of the unit sphere stands for
/// `up = normalise(w/S)` along the hull's main axes, with `S` its extents there. The
/// stiffness of a floating body goes with the square of its extents, so that in `w`
/// long narrow craft are as round as short broad ones.
pub(super) struct Landscape<'a> {
    pub(super) craft: &'a Craft,
    pub(super) frame: Frame,
    /// Volume to displace, m³.
    pub(super) volume_m3: f64,
    /// The longest extent, m.
    pub(super) size_m: f64,
    calls: AtomicUsize,
}

/// How the sphere of attitudes is stretched for a hull.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    /// The hull's main axes, its columns, boat frame.
    axes: Matrix3<f64>,
    /// The hull's extents along them, m.
    extents_m: Vec3,
}

/// The energy at one attitude, the level solved for the volume (to second order).
#[derive(Debug, Clone)]
pub(super) struct Spot {
    /// The stretched direction and two directions square to it and each other.
    pub(super) stretched: Vec3,
    pub(super) tangents: [Vec3; 2],
    /// What moves of a radian along those do to `up`.
    pub(super) tilts: [Vec3; 2],
    /// The water plane, its level corrected.
    pub(super) plane: WaterPlane,
    /// Centre of flotation: the plane through it keeps the volume.
    pub(super) flotation_m: Vec3,
    pub(super) energy_m4: f64,
    /// Slope and curvature of the energy per radian of `w` along the tangents, m⁴.
    pub(super) slope: Vector2<f64>,
    pub(super) curvature: Matrix2<f64>,
    pub(super) area_m2: f64,
    /// How far from exact: the volume's error, m³, and the lever, m⁴.
    pub(super) off_m3: f64,
    pub(super) lever_m4: f64,
}

impl<'a> Landscape<'a> {
    pub(super) fn new(craft: &'a Craft) -> Self {
        Self::within(craft, Frame::of(craft))
    }

    /// In a frame made before for the same hull.
    pub(super) fn within(craft: &'a Craft, frame: Frame) -> Self {
        Self {
            craft,
            frame,
            volume_m3: craft.volume_to_displace_m3(),
            size_m: frame.extents_m.max(),
            calls: AtomicUsize::new(0),
        }
    }

    /// Kernel calls so far.
    pub(super) fn calls(&self) -> usize {
        self.calls.load(Ordering::Relaxed)
    }

    /// Counts calls made elsewhere.
    pub(super) fn add_calls(&self, calls: usize) {
        self.calls.fetch_add(calls, Ordering::Relaxed);
    }

    pub(super) fn energy_at(&self, plane: &WaterPlane) -> EnergyAt {
        self.add_calls(1);
        self.craft.energy_at(plane)
    }

    pub(super) fn stretched(&self, up: &Vec3) -> Vec3 {
        (self.frame.axes.transpose() * up)
            .component_mul(&self.frame.extents_m)
            .normalize()
    }

    fn squeezed(&self, w: &Vec3) -> Vec3 {
        self.frame.axes * w.component_div(&self.frame.extents_m)
    }

    pub(super) fn up_of(&self, w: &Vec3) -> Vec3 {
        self.squeezed(w).normalize()
    }

    /// Two tangents at a stretched direction, and the tilts of `up` (m and radians
    /// alike) that a radian along each means.
    pub(super) fn tilts(&self, w: &Vec3) -> ([Vec3; 2], [Vec3; 2]) {
        let aside = if w.x.abs() < 0.6 {
            Vec3::x()
        } else {
            Vec3::y()
        };
        let first = (aside - w * w.dot(&aside)).normalize();
        let tangents = [first, w.cross(&first)];
        let squeezed = self.squeezed(w);
        let length = squeezed.norm();
        let up = squeezed / length;
        let tilts = tangents.map(|tangent| {
            let moved = self.squeezed(&tangent) / length;
            moved - up * up.dot(&moved)
        });
        (tangents, tilts)
    }

    /// `up` after a move along tilts, on a great circle.
    pub(super) fn moved(up: &Vec3, tilts: &[Vec3; 2], step: &Vector2<f64>) -> Vec3 {
        let tilt = tilts[0] * step[0] + tilts[1] * step[1];
        let angle = tilt.norm();
        if angle > 0.0 {
            (up * angle.cos() + tilt * (angle.sin() / angle)).normalize()
        } else {
            *up
        }
    }

    /// The energy at an attitude, from a guess of its level; the volume right within a
    /// share of itself, and from there to second order.
    pub(super) fn spot(&self, guess: &WaterPlane, within: f64) -> Spot {
        let WaterPlane { up, level_m } = *guess;
        let reach_m = self.craft.displacers.reach_m(&up);
        let (low, high) = reach_m.unwrap_or((level_m, level_m));
        let start = if (low..=high).contains(&level_m) {
            level_m
        } else {
            f64::midpoint(low, high)
        };
        let is_done = |at: &Look<_>, _| at.off.abs() <= within * self.volume_m3 && at.slope > 0.0;
        let look = |level_m: f64| {
            let at = self.energy_at(&WaterPlane { up, level_m });
            Look {
                off: at.slope[0],
                slope: at.curvature[(0, 0)],
                state: at,
            }
        };
        let found = rising_root([low, high], start, MOST_LEVELS, is_done, look);
        self.spot_of(&found.state)
    }

    /// What is known of the energy after one kernel call, the level moved to where the
    /// volume is right by the waterplane's area.
    pub(super) fn spot_of(&self, at: &EnergyAt) -> Spot {
        let plane = at.immersion.plane;
        let area = at.curvature[(0, 0)].max(f64::MIN_POSITIVE);
        let off = at.slope[0];
        let rise = -off / area;
        let axes = plane.axes();
        let along = Vector2::new(at.curvature[(0, 1)], at.curvature[(0, 2)]);
        let slope = Vector2::new(at.slope[1], at.slope[2]) - along * (off / area);
        let curvature =
            at.curvature.fixed_view::<2, 2>(1, 1).into_owned() - along * along.transpose() / area;
        let stretched = self.stretched(&plane.up);
        let (tangents, tilts) = self.tilts(&stretched);
        let to_tilts = Matrix2::from_columns(
            &tilts.map(|tilt| Vector2::new(axes.forward.dot(&tilt), axes.port.dot(&tilt))),
        );
        let foot = plane.up * (plane.level_m + rise)
            + (at.immersion.reference_m - plane.up * plane.up.dot(&at.immersion.reference_m));
        Spot {
            stretched,
            tangents,
            tilts,
            plane: WaterPlane {
                up: plane.up,
                level_m: plane.level_m + rise,
            },
            flotation_m: foot - (axes.forward * along[0] + axes.port * along[1]) / area,
            energy_m4: at.energy_m4 - off * off / (2.0 * area),
            slope: to_tilts.transpose() * slope,
            curvature: to_tilts.transpose() * curvature * to_tilts,
            area_m2: area,
            off_m3: off,
            lever_m4: at.slope[1].hypot(at.slope[2]),
        }
    }

    /// The spot a step along a spot's tangents away, rad of `w`.
    pub(super) fn step(&self, from: &Spot, step: &Vector2<f64>, within: f64) -> Spot {
        self.spot_towards(
            from,
            &Self::moved(&from.plane.up, &from.tilts, step),
            within,
        )
    }

    /// The spot at another attitude, its level guessed from one nearby.
    pub(super) fn spot_towards(&self, from: &Spot, up: &Vec3, within: f64) -> Spot {
        let plane = WaterPlane {
            up: *up,
            level_m: up.dot(&from.flotation_m),
        };
        self.spot(&plane, within)
    }

    /// Whether a spot is an equilibrium: volume within a share, lever as a share of the
    /// size.
    pub(super) fn is_level(&self, spot: &Spot, volume_within: f64, arm_within: f64) -> bool {
        spot.off_m3.abs() <= volume_within * self.volume_m3
            && spot.lever_m4 <= arm_within * self.volume_m3 * self.size_m
    }

    /// Slope and curvature of the energy on the straight way (a great circle of `w`)
    /// from a spot to another, per radian.
    fn along(&self, spot: &Spot, towards: &Vec3) -> [f64; 2] {
        let flat = towards - spot.stretched * spot.stretched.dot(towards);
        let onward = flat / flat.norm().max(f64::MIN_POSITIVE);
        let part = Vector2::new(spot.tangents[0].dot(&onward), spot.tangents[1].dot(&onward));
        let slope = spot.slope.dot(&part);
        // The way is a great circle of `up` too, run along at another speed.
        let (here, moved) = (self.squeezed(&spot.stretched), self.squeezed(&onward));
        let slowing = -2.0 * here.dot(&moved) / here.norm_squared();
        [slope, part.dot(&(spot.curvature * part)) + slowing * slope]
    }

    /// The energy on the straight way from a spot to another, by the polynomial of the
    /// fifth degree with the values, slopes and curvatures at its ends.
    pub(super) fn way(&self, a: &Spot, b: &Spot) -> Quintic {
        let turn = angle(&a.stretched, &b.stretched);
        let [slope_a, bend_a] = self.along(a, &b.stretched);
        let [slope_b, bend_b] = self.along(b, &a.stretched);
        Quintic::between(
            [a.energy_m4, b.energy_m4],
            [slope_a * turn, -slope_b * turn],
            [bend_a * turn * turn, bend_b * turn * turn],
        )
    }

    /// The highest energy on the straight way between two spots, as [`Self::way`] has
    /// it, and where on the way that is.
    pub(super) fn highest_between(&self, a: &Spot, b: &Spot) -> (f64, f64) {
        let way = self.way(a, b);
        (0..=LOOKS)
            .map(|look| f64::from(look) / f64::from(LOOKS))
            .map(|t| (way.at(t), t))
            .fold((f64::NEG_INFINITY, 0.0), |best, here| {
                if here.0 > best.0 { here } else { best }
            })
    }
}

impl Spot {
    /// The softest direction's curvature and its direction along the tangents; then the
    /// stiffest's.
    pub(super) fn softest(&self) -> [(f64, Vector2<f64>); 2] {
        let eigen = SymmetricEigen::new(self.curvature);
        let soft = eigen.eigenvalues.imin();
        [soft, 1 - soft].map(|i| (eigen.eigenvalues[i], eigen.eigenvectors.column(i).into()))
    }
}

/// A polynomial of the fifth degree on 0 to 1.
pub(super) struct Quintic([f64; 6]);

impl Quintic {
    /// With values, slopes and second derivatives at 0 and 1.
    pub(super) fn between(value: [f64; 2], slope: [f64; 2], bend: [f64; 2]) -> Self {
        let [p0, p1] = value;
        let [v0, v1] = slope;
        let [a0, a1] = bend;
        let rise = p1 - p0;
        Self([
            p0,
            v0,
            a0 / 2.0,
            10.0 * rise - 6.0 * v0 - 4.0 * v1 - 1.5 * a0 + 0.5 * a1,
            -15.0 * rise + 8.0 * v0 + 7.0 * v1 + 1.5 * a0 - a1,
            6.0 * rise - 3.0 * (v0 + v1) + 0.5 * (a1 - a0),
        ])
    }

    pub(super) fn at(&self, t: f64) -> f64 {
        self.0.iter().rev().fold(0.0, |sum, part| sum * t + part)
    }
}

/// The angle between two unit vectors, rad.
#[must_use]
pub fn angle(a: &Vec3, b: &Vec3) -> f64 {
    a.cross(b).norm().atan2(a.dot(b))
}

/// A direction between two, at a share of the way on their great circle.
pub(super) fn between(a: &Vec3, b: &Vec3, share: f64) -> Vec3 {
    let turn = angle(a, b);
    if turn < 1e-9 {
        return *a;
    }
    (a * ((1.0 - share) * turn).sin() + b * (share * turn).sin()).normalize()
}

/// Points spread evenly over the unit sphere along a spiral of golden angles.
pub(super) fn even_directions(count: u32) -> Vec<Vec3> {
    let golden = std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
    (0..count)
        .map(|i| {
            let z = 1.0 - (2.0 * f64::from(i) + 1.0) / f64::from(count);
            let (sin, cos) = (golden * f64::from(i)).sin_cos();
            let r = (1.0 - z * z).sqrt();
            Vec3::new(r * cos, r * sin, z)
        })
        .collect()
}

impl Frame {
    /// The main axes of the outermost points in directions spread evenly, and the
    /// extents along them.
    fn of(craft: &Craft) -> Self {
        let mut points = Vec::new();
        for shape in [
            [1.0, 1.0, 1.0],
            [3.0, 1.0, 1.0],
            [1.0, 3.0, 1.0],
            [1.0, 1.0, 3.0],
        ] {
            for corner in 0..8_u8 {
                let sign = |bit: u8| if corner & (1 << bit) == 0 { 1.0 } else { -1.0 };
                let way = Vec3::new(shape[0] * sign(0), shape[1] * sign(1), shape[2] * sign(2));
                points.extend(craft.displacers.lowest_m(&way));
            }
        }
        let count = (points.len() as f64).max(1.0);
        let middle = points.iter().sum::<Vec3>() / count;
        let spread: Matrix3<f64> = points
            .iter()
            .map(|point| (point - middle) * (point - middle).transpose())
            .sum();
        let axes = SymmetricEigen::new(spread).eigenvectors;
        let extent = |axis: Vector3<f64>| {
            let low = craft
                .displacers
                .lowest_m(&axis)
                .map(|point| axis.dot(&point));
            let high = craft
                .displacers
                .lowest_m(&-axis)
                .map(|point| axis.dot(&point));
            low.zip(high).map_or(0.0, |(low, high)| high - low)
        };
        let extents = Vec3::new(
            extent(axes.column(0).into()),
            extent(axes.column(1).into()),
            extent(axes.column(2).into()),
        );
        let middle = extents.sum() - extents.max() - extents.min();
        let least = (LEAST_EXTENT * middle).max(f64::MIN_POSITIVE);
        Self {
            axes,
            extents_m: extents.map(|extent| extent.max(least)),
        }
    }
}
