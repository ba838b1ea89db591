//! What each reading must be for a mass and centre of all aboard, and how it changes
//! with them.
use nalgebra::{Matrix3, Vector3, Vector4};

use super::Measurement;
use super::measured::{InclineMove, Measured, Push, TwoScales};
use crate::boat::file::point_m;
use crate::equilibrium::{Craft, EquilibriumError, Hold, find_rest_from, settle};
use crate::immersion::WaterPlane;
use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3};
use crate::quantity::{Dimension, Quantity};

/// Mass, kg, and x, y, z of the centre of gravity, m.
pub(super) type Whole = Vector4<f64>;

/// One reading against what it must be.
#[derive(Debug, Clone)]
pub(super) struct Reading {
    pub(super) what: Measurement,
    pub(super) dimension: Dimension,
    pub(super) read: Quantity,
    /// What the boat gives.
    pub(super) model: f64,
    /// How that changes with each of [`Whole`].
    pub(super) slope: Whole,
}

/// A craft whose mass and centre are sought.
pub(super) struct Model<'a> {
    pub(super) craft: &'a Craft,
    /// Near where it floats; set upright without.
    pub(super) near: Option<WaterPlane>,
}

/// The craft at rest, and how its water plane changes with the weight.
pub(super) struct Afloat {
    pub(super) craft: Craft,
    pub(super) plane: WaterPlane,
    /// Point that level and moments count from, m.
    reference_m: Vec3,
    /// Inverse of the energy's curvature over level and two tilts.
    give: Matrix3<f64>,
    pub(super) gm_transverse_m: f64,
}

impl Model<'_> {
    fn weighing(&self, whole: &Whole) -> Craft {
        Craft {
            mass_kg: whole[0],
            centre_of_gravity_m: Vec3::new(whole[1], whole[2], whole[3]),
            ..self.craft.clone()
        }
    }

    pub(super) fn afloat(&self, whole: &Whole) -> Result<Afloat, EquilibriumError> {
        let craft = self.weighing(whole);
        match &self.near {
            Some(plane) => Afloat::near(craft, plane),
            None => {
                let plane = *settle(&craft)?.rest.plane();
                Afloat::near(craft, &plane)
            }
        }
    }

    /// Every reading, in the order marks, scales, moves, pushes.
    pub(super) fn readings(
        &self,
        whole: &Whole,
        measured: &Measured,
    ) -> Result<Vec<Reading>, EquilibriumError> {
        let mut readings = Vec::new();
        let floats =
            !measured.marks.is_empty() || !measured.moves.is_empty() || !measured.pushes.is_empty();
        let rest = if floats {
            Some(self.afloat(whole)?)
        } else {
            None
        };
        for (mark, rest) in measured.marks.iter().zip(rest.iter().cycle()) {
            let at_m = point_m(&mark.at);
            readings.push(Reading {
                what: Measurement::HeightAt(at_m.into()),
                dimension: Dimension::Length,
                read: mark.over_water,
                model: rest.plane.height_m(&at_m),
                slope: rest.by_weight(&rest.height_slope(&at_m)),
            });
        }
        if let Some(scales) = &measured.two_scales {
            readings.extend(weighed(scales, whole));
        }
        for (one, rest) in measured.moves.iter().zip(rest.iter().cycle()) {
            readings.push(moved(one, rest)?);
        }
        for (push, rest) in measured.pushes.iter().zip(rest.iter().cycle()) {
            readings.push(pushed(push, rest)?);
        }
        Ok(readings)
    }
}

impl Afloat {
    fn near(craft: Craft, plane: &WaterPlane) -> Result<Self, EquilibriumError> {
        let rest = find_rest_from(&craft, plane, Hold::Nothing)?;
        let at = craft.energy_at(rest.plane());
        Ok(Self {
            plane: *rest.plane(),
            reference_m: at.immersion.reference_m,
            give: at.curvature.try_inverse().unwrap_or_else(Matrix3::zeros),
            gm_transverse_m: rest.gm_transverse_m(),
            craft,
        })
    }

    /// How a point's height above the water changes with the level over the reference
    /// point and the tilts forward and to port.
    fn height_slope(&self, at_m: &Vec3) -> Vector3<f64> {
        let (axes, from) = (self.plane.axes(), at_m - self.reference_m);
        Vector3::new(-1.0, axes.forward.dot(&from), axes.port.dot(&from))
    }

    /// How the heel changes likewise, deg.
    fn heel_slope(&self) -> Vector3<f64> {
        let (axes, up) = (self.plane.axes(), self.plane.up);
        let by =
            |tilt: &Vec3| ((up.z * tilt.y - up.y * tilt.z) / up.z.hypot(up.y).powi(2)).to_degrees();
        Vector3::new(0.0, by(&axes.forward), by(&axes.port))
    }

    /// What changes with level and tilts, as it changes with the weight: at rest the
    /// slopes of the energy are nought, `V − m/ρ` and those of the lever
    /// `(G − r) m/ρ − M`, and stay so.
    fn by_weight(&self, of_plane: &Vector3<f64>) -> Whole {
        let axes = self.plane.axes();
        let density = self.craft.density_kg_m3;
        let arm = (self.craft.centre_of_gravity_m - self.reference_m) / density;
        let volume = self.craft.mass_kg / density;
        let gives = -(self.give.transpose() * of_plane);
        let by = |slopes: Vector3<f64>| gives.dot(&slopes);
        let tilts = |lever: &Vec3| Vector3::new(0.0, axes.forward.dot(lever), axes.port.dot(lever));
        let along = |axis: Vec3| by(tilts(&(axis * volume)));
        Whole::new(
            by(tilts(&arm) - Vector3::new(1.0 / density, 0.0, 0.0)),
            along(Vec3::x()),
            along(Vec3::y()),
            along(Vec3::z()),
        )
    }

    /// The craft with another weight, and how a change of the whole passes on to it.
    fn with(&self, craft: Craft) -> Result<Self, EquilibriumError> {
        Self::near(craft, &self.plane)
    }
}

/// Aft `R1 = m (x2 − x)/(x2 − x1)`, fore `R2 = m (x − x1)/(x2 − x1)`; the fore end
/// raised by θ the weight moves aft by `h tan θ`, h over where the boat stands.
fn weighed(scales: &TwoScales, whole: &Whole) -> Vec<Reading> {
    let (mass, x, z) = (whole[0], whole[1], whole[3]);
    let (aft, fore) = (scales.aft.x.value, scales.fore.x.value);
    let apart = fore - aft;
    let line = |what: Measurement, read: Quantity, model: f64, slope: [f64; 3]| Reading {
        what,
        dimension: Dimension::Mass,
        read,
        model,
        slope: Whole::new(slope[0], slope[1], 0.0, slope[2]),
    };
    let share = (x - aft) / apart;
    let mut readings = vec![
        line(
            Measurement::AfterScale,
            scales.aft.reads,
            mass * (1.0 - share),
            [1.0 - share, -mass / apart, 0.0],
        ),
        line(
            Measurement::ForeScale,
            scales.fore.reads,
            mass * share,
            [share, mass / apart, 0.0],
        ),
    ];
    if let Some(tipped) = &scales.tipped {
        let tan = tipped.angle.value.to_radians().tan();
        let share = (x - (z - scales.stands_at_z.value) * tan - aft) / apart;
        let what = Measurement::ForeScaleTipped(tipped.angle.value);
        let slope = [share, mass / apart, -mass * tan / apart];
        readings.push(line(what, tipped.fore_reads, mass * share, slope));
    }
    readings
}

/// The whole balance at the heel that a mass moved across makes, whatever the heel.
fn moved(one: &InclineMove, rest: &Afloat) -> Result<Reading, EquilibriumError> {
    let mass = rest.craft.mass_kg;
    let shift = one.mass.value * one.moved.value / mass;
    let mut craft = rest.craft.clone();
    craft.centre_of_gravity_m.y -= shift;
    let there = rest.with(craft)?;
    let mut slope = there.by_weight(&there.heel_slope());
    slope[0] += slope[2] * shift / mass;
    Ok(Reading {
        what: Measurement::HeelAfter {
            mass_kg: one.mass.value,
            to_starboard_m: one.moved.value,
        },
        dimension: Dimension::Angle,
        read: one.heel,
        model: there.plane.heel_deg() - rest.plane.heel_deg(),
        slope: slope - rest.by_weight(&rest.heel_slope()),
    })
}

fn pushed(push: &Push, rest: &Afloat) -> Result<Reading, EquilibriumError> {
    let at_m = point_m(&push.at);
    let load_kg = push.force.value / STANDARD_GRAVITY_M_S2;
    let there = rest.with(rest.craft.with_load(load_kg, &at_m))?;
    let mut slope = there.by_weight(&there.height_slope(&at_m));
    // G′ = (m G + f p)/(m + f).
    let whole = there.craft.mass_kg;
    let off = (rest.craft.centre_of_gravity_m - there.craft.centre_of_gravity_m) / whole;
    slope[0] += slope[1] * off.x + slope[2] * off.y + slope[3] * off.z;
    for axis in 1..4 {
        slope[axis] *= rest.craft.mass_kg / whole;
    }
    Ok(Reading {
        what: Measurement::SinksAt {
            at_m: at_m.into(),
            force_n: push.force.value,
        },
        dimension: Dimension::Length,
        read: push.sinks,
        model: rest.plane.height_m(&at_m) - there.plane.height_m(&at_m),
        slope: rest.by_weight(&rest.height_slope(&at_m)) - slope,
    })
}
