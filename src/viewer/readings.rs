//! The numbers beside the picture, by the same functions as the tables.
use crate::boat::Boat;
use crate::equilibrium::{Craft, Rest};
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;
use crate::study::{OpeningResult, OpeningVerdict, draughts_m, opening_at};

/// What the panel reads off at one water plane.
#[derive(Debug, Clone)]
pub struct Readings {
    /// The water plane.
    pub plane: WaterPlane,
    /// Whether the closed envelope can carry the mass at all.
    pub floats: bool,
    /// Mass of everything aboard, loose liquids too, kg.
    pub mass_kg: f64,
    /// Mass of water that the whole envelope would displace, kg.
    pub capacity_kg: f64,
    /// Mass of the water displaced here, kg.
    pub displacement_kg: f64,
    /// Depth of the base line at the forward and the after mark, m.
    pub draughts_m: [f64; 2],
    /// Depth of the deepest point of the envelope, m.
    pub draught_m: f64,
    /// Metacentric height across and along here, m; means something where
    /// weight and displacement agree.
    pub gm_m: [f64; 2],
    /// Horizontal distance between weight and buoyancy, m: nought at rest.
    pub lever_m: f64,
    /// Volume of the closed envelope above the water, m³.
    pub reserve_of_buoyancy_m3: f64,
    /// Centre of gravity, boat frame, m.
    pub centre_of_gravity_m: Vec3,
    /// Centre of buoyancy, boat frame, m.
    pub centre_of_buoyancy_m: Option<Vec3>,
    /// Metacentric radius across, m.
    pub metacentric_radius_m: Option<f64>,
    /// Every opening.
    pub openings: Vec<OpeningResult>,
}

impl Readings {
    /// Reads them off; `floats` as the rest search found.
    #[must_use]
    pub fn at(boat: &Boat, craft: &Craft, plane: &WaterPlane, floats: bool) -> Self {
        let at = craft.energy_at(plane);
        let wanted = craft.volume_to_displace_m3();
        let rest = Rest {
            immersion: at.immersion,
            // Liquids where they lie here.
            centre_of_gravity_m: if craft.liquids.is_empty() {
                craft.centre_of_gravity_m
            } else {
                at.immersion.reference_m + (at.lever_m4 + at.immersion.volume_moment_m4) / wanted
            },
            free_surface: at.free_surface,
            energy_m4: at.energy_m4,
            lever_m4: at.lever_m4,
            kernel_calls: 1,
        };
        let volume = rest.immersion.volume_m3;
        let whole = craft.displacers.volume_m3();
        let lowest = craft.displacers.lowest_m(&plane.up);
        Self {
            plane: *plane,
            floats,
            mass_kg: craft.total_mass_kg(),
            capacity_kg: whole * craft.density_kg_m3,
            displacement_kg: volume * craft.density_kg_m3,
            draughts_m: draughts_m(boat, plane),
            draught_m: lowest.map_or(0.0, |point| -plane.height_m(&point)),
            gm_m: [rest.gm_transverse_m(), rest.gm_longitudinal_m()],
            lever_m: at.slope[1].hypot(at.slope[2]) / wanted,
            reserve_of_buoyancy_m3: whole - volume,
            centre_of_gravity_m: rest.centre_of_gravity_m,
            centre_of_buoyancy_m: rest.immersion.centre_of_buoyancy_m(),
            metacentric_radius_m: (volume > 0.0)
                .then(|| rest.immersion.second_moments().transverse_m4 / volume),
            openings: boat
                .openings
                .iter()
                .map(|opening| opening_at(boat, opening, floats.then_some(plane)))
                .collect(),
        }
    }

    /// The opening nearest the water of those that let it in.
    #[must_use]
    pub fn lowest(&self) -> Option<&OpeningResult> {
        self.openings
            .iter()
            .filter(|opening| opening.verdict != OpeningVerdict::Covered)
            .filter(|opening| opening.freeboard_m.is_some())
            .min_by(|a, b| {
                let height = |o: &OpeningResult| o.freeboard_m.unwrap_or(f64::INFINITY);
                height(a).total_cmp(&height(b))
            })
    }
}
