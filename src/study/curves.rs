//! Hydrostatic curves: the quantities of the envelope over draught.
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::answer::{Answer, AsItLies};
use super::shared::cautions::Doing;
use super::shared::hydrostatics::{Hydrostatics, draughts_m};
use crate::equilibrium::Afloat;
use crate::immersion::WaterPlane;
use crate::mesh::Surface;
use crate::numerics::Vec3;

/// Result of [`curves`].
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct CurvesResult {
    /// Density of the water, kg/m³.
    pub water_density_kg_m3: f64,
    /// Pitch that the draughts are taken at, bow up positive, deg.
    pub pitch_deg: f64,
    /// Height of the base line in the boat frame, m.
    pub base_z_m: f64,
    /// x of the draught marks, forward and aft, m.
    pub marks_x_m: [f64; 2],
    /// x of amidships, midway between the marks, where `draught_m` is read, m.
    pub amidships_x_m: f64,
    /// The same draught of the craft at rest with its load, m; `None` where it has no mass,
    /// sinks or does not stay upright.
    #[serde(skip)]
    pub at_rest_m: Option<f64>,
    /// One line a draught, shallow to deep.
    pub lines: Vec<CurveLine>,
}

/// The quantities at one draught.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct CurveLine {
    /// Draught amidships: depth of the base line under the water midway between the
    /// draught marks, m.
    pub draught_m: f64,
    /// The same at the forward mark, m.
    pub draught_forward_m: f64,
    /// The same at the after mark, m.
    pub draught_aft_m: f64,
    /// The quantities under that plane.
    #[serde(flatten)]
    pub hydrostatics: Hydrostatics,
    /// Height of the metacentre for heel over the base line (KM), along the boat's z
    /// axis, m.
    pub km_transverse_m: Option<f64>,
    /// The same for pitch, m.
    pub km_longitudinal_m: Option<f64>,
    /// Mass that sinks the craft 10 mm further, kg.
    pub mass_to_sink_1_cm_kg: f64,
    /// Couple that pitches the craft by 1° with its centre of gravity at the
    /// centre of buoyancy: longitudinal radius times displacement times the sine,
    /// kg·m.
    pub moment_to_pitch_1_deg_kg_m: f64,
    /// Length and breadth of the waterline, m.
    pub waterline_length_m: f64,
    /// Breadth of the waterline, m.
    pub waterline_breadth_m: f64,
    /// Displaced volume over length × breadth × draught amidships.
    pub block_coefficient: Option<f64>,
    /// Waterplane area over length × breadth.
    pub waterplane_coefficient: Option<f64>,
}

/// A craft that lies more than 60° over at rest has no draught on these curves.
const MOST_LEAN_COSINE: f64 = 0.5;
/// What rounding leaves of a length, as a share of the craft's size.
const TRIFLE: f64 = 1e-9;

/// Cuts the envelope at equal steps of draught amidships from the base line to the
/// hull's top there, upright at a pitch. `steps` is at least 1. What hangs outside
/// the envelope plays no part, as the masses do not.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::curves};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// let deepest = curves(&boat, 0.0, 8).lines.pop().ok_or("no lines")?;
/// println!("{:.0} L under {:.2} m", 1e3 * deepest.hydrostatics.displaced_volume_m3, deepest.draught_m);
/// # Ok(())
/// # }
/// ```
#[must_use]
pub fn curves<'b>(boat: impl Into<Afloat<'b>>, pitch_deg: f64, steps: u16) -> Answer<CurvesResult> {
    let afloat = boat.into();
    let boat = afloat.boat();
    let tree = &boat.tree;
    let base = boat.marks.base_z_m;
    let top = boat.hull_box_m.1.z;
    let density = boat.water.density_kg_m3;
    let marks_x_m = [boat.marks.forward_x_m, boat.marks.aft_x_m];
    let amidships_x_m = f64::midpoint(marks_x_m[0], marks_x_m[1]);
    let amidships = Vec3::new(amidships_x_m, 0.0, base);
    let up = WaterPlane::at_attitude(0.0, pitch_deg, 0.0).up;
    let at_rest = afloat.rest().ok().map(|rest| *rest.plane());
    let at_rest_m = at_rest
        .filter(|plane| plane.up.z > MOST_LEAN_COSINE)
        .map(|plane| -plane.height_m(&amidships));
    let lines = (1..=steps.max(1))
        .into_par_iter()
        .map(|step| {
            let draught_m = (top - base) * f64::from(step) / f64::from(steps.max(1));
            let plane = WaterPlane {
                up,
                level_m: up.dot(&amidships) + draught_m,
            };
            let [draught_forward_m, draught_aft_m] = draughts_m(boat, &plane);
            let h = Hydrostatics::of(&tree.immerse(&plane), density);
            let over_base = |radius: Option<f64>| {
                let buoyancy = h.centre_of_buoyancy_m?;
                // The radius stands along the vertical.
                Some(buoyancy[2] + radius? * up.z - base)
            };
            let [length, breadth] = waterline_size_m(&boat.envelope.surface, &plane);
            let box_area = length * breadth;
            // A trifle of a waterline, as through the highest corner, has no coefficient.
            let least = TRIFLE * (top - base) * (top - base);
            let share = |part: f64, whole: f64| (box_area > least).then(|| part / whole);
            CurveLine {
                draught_m,
                draught_forward_m,
                draught_aft_m,
                km_transverse_m: over_base(h.metacentric_radius_transverse_m),
                km_longitudinal_m: over_base(h.metacentric_radius_longitudinal_m),
                mass_to_sink_1_cm_kg: h.waterplane_area_m2 * 0.01 * density,
                moment_to_pitch_1_deg_kg_m: h.second_moment_longitudinal_m4
                    * density
                    * 1.0_f64.to_radians().sin(),
                waterline_length_m: length,
                waterline_breadth_m: breadth,
                block_coefficient: share(h.displaced_volume_m3, box_area * draught_m),
                waterplane_coefficient: share(h.waterplane_area_m2, box_area),
                hydrostatics: h,
            }
        })
        .collect();
    let result = CurvesResult {
        water_density_kg_m3: density,
        pitch_deg,
        base_z_m: base,
        marks_x_m,
        amidships_x_m,
        at_rest_m,
        lines,
    };
    Answer {
        as_it_lies: AsItLies::at_rest(&afloat),
        ..Answer::of(boat, result, Doing::Floating.cautions(boat).collect())
    }
}

/// Length and breadth of the curve in which a plane cuts a surface, along the
/// plane's forward and port directions, m.
fn waterline_size_m(surface: &Surface, plane: &WaterPlane) -> [f64; 2] {
    let axes = plane.axes();
    let mut lo = [f64::INFINITY; 2];
    let mut hi = [f64::NEG_INFINITY; 2];
    // Corners in the plane count as over it, whichever way their heights are rounded.
    let under = -TRIFLE * surface.diagonal_m();
    let mut take = |point: &Vec3| {
        for (axis, along) in [axes.forward.dot(point), axes.port.dot(point)]
            .into_iter()
            .enumerate()
        {
            lo[axis] = lo[axis].min(along);
            hi[axis] = hi[axis].max(along);
        }
    };
    for face in 0..surface.faces.len() {
        let corners = surface.corners(face);
        for (a, b) in [(0, 1), (1, 2), (2, 0)] {
            let (from, to) = (corners[a], corners[b]);
            let (below, above) = (plane.height_m(&from), plane.height_m(&to));
            if (below < under) != (above < under) {
                take(&(from + (to - from) * (below / (below - above))));
            }
        }
    }
    [0, 1].map(|axis| (hi[axis] - lo[axis]).max(0.0))
}
