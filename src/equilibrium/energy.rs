//! The potential energy of a craft and the water it displaces.
use std::sync::Arc;

use nalgebra::{Matrix3, Vector3};

use super::displacers::Displacers;
use super::liquid::{Liquid, StandsIn};
use crate::boat::{Boat, Compartment, Outside, Tank};
use crate::immersion::{Immersion, MomentTree, SecondMoments, WaterPlane};
use crate::numerics::Vec3;

/// A weight held up by displacers in water of one density.
#[derive(Debug, Clone)]
pub struct Craft {
    /// What displaces water.
    pub displacers: Displacers,
    /// Mass of everything aboard, kg.
    pub mass_kg: f64,
    /// Centre of gravity of that mass, boat frame, m.
    pub centre_of_gravity_m: Vec3,
    /// Density of the water, kg/m³.
    pub density_kg_m3: f64,
    /// Liquids loose aboard, on top of `mass_kg`.
    pub liquids: Vec<Liquid>,
}

/// The energy at one water plane with its first and second derivatives.
///
/// With `V0 = mass/density`, `r` the displacers' reference point, `G' = G − r`,
/// `λ = level − up·r`, `V` and `M` the immersed volume and its moment about `r`:
///
/// `e = V0 (up·G' − λ) + λV − up·M`  (m⁴; times density and gravity: joules)
///
/// The first term is the weight's energy above the water plane, the others the
/// water's, `∫ depth dV`. Moves are `δλ` and tilts `α`, `β` of `up` along the
/// plane's forward and port directions, on the unit sphere, so that
/// `δ²up = −(α² + β²) up`; since the depth vanishes on the plane, the second
/// derivative is `∫ (δλ − αu − βv)² dA − (α² + β²) up·(V0 G' − M)`, exactly.
/// Liquid loose aboard adds its volume to `V0` and its moment, with its surface
/// level, to `V0 G'`, both times its relative density; that surface takes its
/// second moments about its own middle from the tilts' curvature (the
/// free-surface loss). Rooms that keep air: see [`super::KeptAir`].
/// Derivation: divergence theorem; Archimedes' law is `∂e/∂λ = V − V0 = 0`.
#[derive(Debug, Clone)]
pub struct EnergyAt {
    /// What lies under the plane.
    pub immersion: Immersion,
    /// `e`, m⁴.
    pub energy_m4: f64,
    /// `V0 G' − M`, about the immersion's reference point, m⁴.
    pub lever_m4: Vec3,
    /// Slopes along the level (m³), forward tilt and port tilt (m⁴).
    pub slope: Vector3<f64>,
    /// Second derivatives in the same order (m², m³, m⁴).
    pub curvature: Matrix3<f64>,
    /// What the surfaces of loose liquids take from the waterplane's second
    /// moments, times their relative densities.
    pub free_surface: SecondMoments,
}

impl Craft {
    /// A boat as its file has it: its closed envelope displaces, less the
    /// compartments that stand flooded, and so does what stands outside it; what
    /// stands loose in others, and the liquids of its tanks, move.
    #[must_use]
    pub fn of(boat: &Boat) -> Self {
        Self::without_fills(boat).with_fills_of(boat, |_, _| true)
    }

    /// The craft with what stands loose in some of the boat's compartments, chosen
    /// by their number and what they are.
    #[must_use]
    pub fn with_fills_of(&self, boat: &Boat, wanted: impl Fn(usize, &Compartment) -> bool) -> Self {
        let mut craft = self.clone();
        let loose = boat.compartments.iter().enumerate();
        let loose = loose.filter(|(_, space)| !space.flooded && space.fill_m3 > 0.0);
        let loose = loose.filter(|(number, space)| wanted(*number, space));
        craft.liquids.extend(loose.map(|(number, space)| Liquid {
            stands_in: Some(StandsIn::Compartment(number)),
            space: space_of(space),
            volume_m3: space.fill_m3,
            relative_density: 1.0,
            surface_near_m: None,
        }));
        craft
    }

    /// As [`Self::of`], but nothing stands loose in any compartment.
    #[must_use]
    pub fn without_fills(boat: &Boat) -> Self {
        let mut displacers = Displacers::envelope(Arc::clone(&boat.tree));
        for thing in &boat.outside {
            displacers.add_all(&outside_of(thing));
        }
        for space in boat.compartments.iter().filter(|space| space.flooded) {
            displacers.take_away(&space_of(space));
        }
        let tanks = boat.tanks.iter().enumerate();
        let liquids = tanks.map(|(number, tank)| liquid_of(number, tank, boat));
        Self {
            displacers,
            mass_kg: boat.mass_kg(),
            centre_of_gravity_m: boat.centre_of_gravity_m(),
            density_kg_m3: boat.water.density_kg_m3,
            liquids: liquids.collect(),
        }
    }

    /// The volume of water that weighs as much as the craft with all that is
    /// loose aboard, m³.
    #[must_use]
    pub fn volume_to_displace_m3(&self) -> f64 {
        let loose: f64 = self.liquids.iter().map(Liquid::weighs_as_m3).sum();
        self.mass_kg / self.density_kg_m3 + loose
    }

    /// Mass of the liquids loose aboard, kg.
    #[must_use]
    pub fn liquids_kg(&self) -> f64 {
        let loose: f64 = self.liquids.iter().map(Liquid::weighs_as_m3).sum();
        loose * self.density_kg_m3
    }

    /// Mass of everything aboard, liquids among it, kg.
    #[must_use]
    pub fn total_mass_kg(&self) -> f64 {
        self.mass_kg + self.liquids_kg()
    }

    /// The craft with a mass more (or less, where negative) at a point, kg and
    /// boat frame, m. A push up of `f g` newtons at a point is a mass `−f` there.
    #[must_use]
    pub fn with_load(&self, mass_kg: f64, at_m: &Vec3) -> Self {
        let total = self.mass_kg + mass_kg;
        let moment = self.centre_of_gravity_m * self.mass_kg + at_m * mass_kg;
        Self {
            mass_kg: total,
            centre_of_gravity_m: moment / total,
            ..self.clone()
        }
    }

    /// Energy, slopes and curvature at a plane: one kernel call.
    #[must_use]
    pub fn energy_at(&self, plane: &WaterPlane) -> EnergyAt {
        let (immersion, in_air_m4) = self.displacers.immerse_with_air(plane);
        self.energy_of(immersion, in_air_m4)
    }

    /// The same without a kernel call from what a craft of the same displacers has under
    /// a plane; `None` where these keep air, whose energy is not known.
    pub(super) fn energy_under(&self, immersion: &Immersion) -> Option<EnergyAt> {
        (!self.displacers.keeps_air()).then(|| self.energy_of(*immersion, 0.0))
    }

    fn energy_of(&self, immersion: Immersion, mut in_air_m4: f64) -> EnergyAt {
        let plane = immersion.plane;
        let reference = immersion.reference_m;
        let volume = self.volume_to_displace_m3();
        let level = -plane.height_m(&reference);
        let dry = self.mass_kg / self.density_kg_m3;
        let mut lever = (self.centre_of_gravity_m - reference) * dry - immersion.volume_moment_m4;
        let mut loss = SecondMoments::default();
        for liquid in self.liquids.iter().filter(|liquid| liquid.volume_m3 > 0.0) {
            let settled = liquid.settled(&plane.up);
            let offset = settled.reference_m - reference;
            let moment = settled.volume_moment_m4 + offset * settled.volume_m3;
            let share = liquid.relative_density;
            lever += moment * share;
            in_air_m4 += liquid.air_m4(&settled);
            let surface = settled.second_moments();
            loss.longitudinal_m4 += share * surface.longitudinal_m4;
            loss.product_m4 += share * surface.product_m4;
            loss.transverse_m4 += share * surface.transverse_m4;
        }
        let axes = plane.axes();
        let stored = plane.up.dot(&lever);
        let [fu, fv] = immersion.waterplane.first_m3;
        let [uu, uv, vv] = immersion.waterplane.second_m4;
        EnergyAt {
            immersion,
            lever_m4: lever,
            energy_m4: stored + level * (immersion.volume_m3 - volume) + in_air_m4,
            slope: Vector3::new(
                immersion.volume_m3 - volume,
                axes.forward.dot(&lever),
                axes.port.dot(&lever),
            ),
            curvature: Matrix3::new(
                immersion.waterplane.area_m2,
                -fu,
                -fv,
                -fu,
                uu - loss.longitudinal_m4 - stored,
                uv - loss.product_m4,
                -fv,
                uv - loss.product_m4,
                vv - loss.transverse_m4 - stored,
            ),
            free_surface: loss,
        }
    }
}

/// What a thing displaces that stands outside the envelope.
#[must_use]
pub fn outside_of(thing: &Outside) -> Displacers {
    let mut displacers = Displacers::default();
    for (factor, tree) in &thing.terms {
        displacers.push(*factor, Arc::clone(tree));
    }
    displacers
}

/// What is in a tank of a number, free to move in it.
#[must_use]
pub fn liquid_of(number: usize, tank: &Tank, boat: &Boat) -> Liquid {
    Liquid {
        stands_in: Some(StandsIn::Tank(number)),
        space: Displacers::envelope(Arc::new(MomentTree::new(&tank.inside, &[]))),
        volume_m3: tank.volume_m3,
        relative_density: tank.density_kg_m3 / boat.water.density_kg_m3,
        surface_near_m: None,
    }
}

/// The room that water can fill in a compartment: its space times its
/// permeability, less what stands in it.
#[must_use]
pub fn space_of(compartment: &Compartment) -> Displacers {
    space_without(compartment, &[])
}

/// As [`space_of`], with some of what stands in it gone, by name.
#[must_use]
pub fn space_without(compartment: &Compartment, gone: &[&str]) -> Displacers {
    let mut space = Displacers::default();
    space.push(compartment.permeability, compartment.tree());
    for content in &compartment.contents {
        if !gone.contains(&content.name.as_str()) {
            let tree = Arc::new(MomentTree::new(&content.surface, &[]));
            space.push(-content.share, tree);
        }
    }
    space
}

/// The craft wholly flooded: all that is not sealed is open to the sea, without the
/// things `gone`, by name. Sealed spaces whose numbers are in `lost` are open too.
#[must_use]
pub fn wholly_flooded(boat: &Boat, gone: &[String], lost: &[usize]) -> Craft {
    let names: Vec<&str> = gone.iter().map(String::as_str).collect();
    let stays = |number: usize, space: &Compartment| space.sealed && !lost.contains(&number);
    let mut craft = without(boat, gone).with_fills_of(boat, stays);
    for (number, space) in boat.compartments.iter().enumerate() {
        if !space.flooded && (!space.sealed || lost.contains(&number)) {
            craft.displacers.take_away(&space_without(space, &names));
        }
    }
    craft
}

/// The craft without the things `gone`, by name, and nothing loose in any compartment.
#[must_use]
pub fn without(boat: &Boat, gone: &[String]) -> Craft {
    let names: Vec<&str> = gone.iter().map(String::as_str).collect();
    let mut craft = Craft::without_fills(boat);
    for space in boat.compartments.iter().filter(|space| space.flooded) {
        // Its contents were counted as staying: those gone do not.
        let (all, left) = (space_of(space), space_without(space, &names));
        craft.displacers.add_all(&all);
        craft.displacers.take_away(&left);
    }
    for thing in &boat.outside {
        if gone.contains(&boat.masses[thing.entry].name) {
            craft.displacers.take_away(&outside_of(thing));
        }
    }
    let away = boat
        .masses
        .iter()
        .filter(|entry| gone.contains(&entry.name));
    away.fold(craft, |craft, entry| {
        craft.with_load(-entry.mass_kg, &entry.centre_m)
    })
}

/// What a wholly flooded craft lacks: the volume of solid material, sealed things and
/// sealed spaces that is missing to hold it up, m³. Negative: what it has over.
#[must_use]
pub fn lacks_m3(flooded: &Craft) -> f64 {
    flooded.volume_to_displace_m3() - flooded.displacers.volume_m3()
}
