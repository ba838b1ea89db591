//! What is not known exactly, and a boat with all of it moved.
use super::super::shared::hydrostatics::Hydrostatics;
use crate::boat::{Boat, MassError};
use crate::equilibrium::{Craft, Rest};
use crate::numerics::Vec3;
use crate::quantity::SPREAD_IN_DEVIATIONS;

/// One thing that is not known exactly.
pub(super) struct Unknown {
    pub(super) name: String,
    what: What,
}

/// What an unknown changes; each amount is its stated ±.
enum What {
    /// Masses and their places.
    Mass(MassError),
    /// The whole surface, in or out, m.
    Scan(f64),
    /// The hull about its length and breadth against what is aboard, deg.
    Tilt([f64; 2]),
    /// What is aboard along x, y or z, m, since the hull's origin may lie elsewhere.
    Origin(usize, f64),
    /// The height of an opening's rim, by its number, m.
    Rim(usize, f64),
    /// The density of the water, kg/m³.
    Water(f64),
}

/// A boat with every unknown moved.
pub(super) struct Drawn {
    mass_kg: f64,
    centre_m: Vec3,
    /// How far out the surface lies, m.
    scan_m: f64,
    /// How far the hull is turned about its length and breadth, rad, and the height about
    /// which, m.
    tilt_rad: [f64; 2],
    base_z_m: f64,
    /// How much higher each opening's rim lies, m.
    pub(super) rims_m: Vec<f64>,
    density_kg_m3: f64,
}

impl Unknown {
    pub(super) fn all_of(boat: &Boat) -> Vec<Self> {
        let masses = boat.mass_errors().into_iter().map(|error| Self {
            name: error.name.clone(),
            what: What::Mass(error),
        });
        let scan_m = boat.scan_error_m.filter(|error| *error > 0.0);
        let scan = scan_m.map(|error_m| Self {
            name: "scan of the hull (float it and run awash calibrate)".to_owned(),
            what: What::Scan(error_m),
        });
        let tilts = boat.tilt_error.into_iter().flat_map(|tilt| {
            [
                ("heel of the hull as scanned", [tilt.heel_deg, 0.0]),
                ("pitch of the hull as scanned", [0.0, tilt.pitch_deg]),
            ]
        });
        let tilts = tilts.map(|(name, error_deg)| Self {
            name: name.to_owned(),
            what: What::Tilt(error_deg),
        });
        let origins = boat.tilt_error.into_iter().flat_map(|tilt| {
            let axes = ["along x", "along y", "up"].into_iter().enumerate();
            let axes = axes.filter(move |(axis, _)| tilt.origin_m[*axis] > 0.0);
            axes.map(move |(axis, way)| Self {
                name: format!("origin of the hull as scanned, {way}"),
                what: What::Origin(axis, tilt.origin_m[axis]),
            })
        });
        let rims = boat.openings.iter().enumerate();
        let rims = rims.filter(|(_, opening)| opening.rim_spread_m > 0.0);
        let rims = rims.map(|(number, opening)| Self {
            name: format!("height of the rim of {}", opening.name),
            what: What::Rim(number, opening.rim_spread_m),
        });
        let water = (boat.water_spread_kg_m3 > 0.0).then(|| Self {
            name: "density of the water".to_owned(),
            what: What::Water(boat.water_spread_kg_m3),
        });
        masses
            .chain(scan)
            .chain(tilts)
            .chain(origins)
            .chain(rims)
            .chain(water)
            .collect()
    }
}

impl Drawn {
    /// The boat with every unknown off by so many standard deviations.
    pub(super) fn new(boat: &Boat, unknowns: &[Unknown], deviations: &[f64]) -> Self {
        let mut drawn = Self {
            mass_kg: boat.mass_kg(),
            centre_m: Vec3::zeros(),
            scan_m: 0.0,
            tilt_rad: [0.0; 2],
            base_z_m: boat.marks.base_z_m,
            rims_m: vec![0.0; boat.openings.len()],
            density_kg_m3: boat.water.density_kg_m3,
        };
        let mut moment = boat.centre_of_gravity_m() * drawn.mass_kg;
        for (unknown, deviations) in unknowns.iter().zip(deviations) {
            let off = deviations / SPREAD_IN_DEVIATIONS;
            match &unknown.what {
                What::Mass(error) => {
                    // Nothing weighs less than nothing.
                    let off = off.max(-error.most_down);
                    drawn.mass_kg += off * error.mass_kg;
                    moment += error.moment_kg_m * off;
                }
                What::Scan(error_m) => drawn.scan_m = off * error_m,
                What::Tilt(error_deg) => {
                    for (tilt, error) in drawn.tilt_rad.iter_mut().zip(error_deg) {
                        *tilt += off * error.to_radians();
                    }
                }
                What::Origin(axis, error_m) => {
                    moment += Vec3::ith(*axis, off * error_m) * boat.mass_kg();
                }
                What::Rim(opening, error_m) => drawn.rims_m[*opening] = off * error_m,
                What::Water(error) => drawn.density_kg_m3 += off * error,
            }
        }
        drawn.centre_m = moment / drawn.mass_kg;
        drawn
    }

    /// The craft as drawn, from the one as stated at its rest.
    pub(super) fn craft(&self, stated: &Craft, rest: &Rest) -> Craft {
        // A hull turned about its base carries its metacentre aside by the angle times the
        // height of that: as if all aboard were moved as far the other way.
        let at_rest = Hydrostatics::of(&rest.immersion, stated.density_kg_m3);
        let [heel_m, pitch_m] = at_rest.metacentres_over(self.base_z_m).unwrap_or_default();
        let [heel, pitch] = self.tilt_rad;
        let changed = Craft {
            mass_kg: self.mass_kg,
            centre_of_gravity_m: self.centre_m + Vec3::new(pitch * pitch_m, heel * heel_m, 0.0),
            density_kg_m3: self.density_kg_m3,
            ..stated.clone()
        };
        off_scan(changed, rest, self.scan_m)
    }

    /// Mass aboard, kg, without what is loose.
    pub(super) fn mass_kg(&self) -> f64 {
        self.mass_kg
    }
}

/// A craft whose surface lies further out than scanned: it carries as if so much
/// mass were taken off where the skin is wet.
fn off_scan(craft: Craft, rest: &Rest, out_m: f64) -> Craft {
    let lifts_kg = rest.immersion.wetted_area_m2 * out_m * craft.density_kg_m3;
    match rest.immersion.wetted_centroid_m() {
        Some(middle) if out_m != 0.0 => craft.with_load(-lifts_kg, &middle),
        _ => craft,
    }
}
