//! The flooded craft as two sums: what weighs and what displaces.
use crate::boat::{Boat, Compartment};
use crate::equilibrium::{Liquid, space_of};
use crate::numerics::Vec3;
use crate::water::Water;

/// Offset of CB from CG under which there is no direction to hang in, m.
const NO_DIRECTION_M: f64 = 1e-9;

/// Where and in what the craft is under water.
#[derive(Debug, Clone, Copy)]
pub(super) struct Under<'a> {
    pub(super) water: &'a Water,
    /// Depth at which the pressure acts on everything, m.
    pub(super) depth_m: f64,
    /// Share of what the cylinders give in a dive that is used up: 0 full, 1
    /// down to the reserve.
    pub(super) used_share: f64,
}

/// Whether a thing's whole volume is stated, so that what it holds displaces
/// nothing more.
pub(super) fn has_volume(boat: &Boat, name: &str) -> bool {
    boat.masses
        .iter()
        .any(|entry| entry.name == name && entry.solid_m3.is_some())
}

/// Mass of the water that stands in a dry space, kg, and its centre with the craft
/// level, m.
pub(super) fn fill(space: &Compartment, density_kg_m3: f64) -> (f64, Vec3) {
    if space.fill_m3 <= 0.0 {
        return (0.0, Vec3::zeros());
    }
    let water = Liquid {
        space: space_of(space),
        volume_m3: space.fill_m3,
        relative_density: 1.0,
        surface_near_m: None,
    };
    let at = water.settled(&Vec3::z()).centre_of_buoyancy_m();
    (space.fill_m3 * density_kg_m3, at.unwrap_or_default())
}

/// A flooded craft wholly under water. The water in it adds no weight.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Flooded {
    /// kg.
    pub(super) mass_kg: f64,
    /// kg m, boat frame.
    mass_moment: Vec3,
    /// Mass of the water that solid and sealed things displace, kg.
    pub(super) displaced_kg: f64,
    /// kg m, boat frame.
    displaced_moment: Vec3,
}

impl Flooded {
    pub(super) fn of(boat: &Boat, under: &Under<'_>) -> Self {
        let over_pa = under.water.pressure_over_surface_pa(under.depth_m);
        let density = under.water.density_kg_m3;
        let things = boat.masses.iter().fold(Self::default(), |sum, entry| {
            let volume = entry.volume_at_m3(over_pa).unwrap_or(0.0);
            sum.with_apart(
                (entry.mass_with_used_kg(under.used_share), entry.centre_m),
                (volume * density, entry.volume_centre_m()),
            )
        });
        // Spaces that stay dry displace; what stands in them does already.
        let dry = boat
            .compartments
            .iter()
            .filter(|space| !space.free_flooding);
        let with_dry = dry.fold(things, |sum, space| {
            let at = space.surface().volume_centroid_m();
            let (fill_kg, fill_at) = fill(space, density);
            sum.with_apart((fill_kg, fill_at), (space.capacity_m3() * density, at))
        });
        boat.tanks.iter().fold(with_dry, |sum, tank| {
            let at = tank.inside.volume_centroid_m();
            let displaced_m3 = if has_volume(boat, &tank.name) {
                0.0
            } else {
                tank.volume_m3
            };
            let mass_kg = tank.volume_m3 * tank.density_kg_m3;
            sum.with(mass_kg, displaced_m3 * density, &at)
        })
    }

    fn with_apart(&self, mass: (f64, Vec3), displaced: (f64, Vec3)) -> Self {
        Self {
            mass_kg: self.mass_kg + mass.0,
            mass_moment: self.mass_moment + mass.1 * mass.0,
            displaced_kg: self.displaced_kg + displaced.0,
            displaced_moment: self.displaced_moment + displaced.1 * displaced.0,
        }
    }

    /// The craft with a thing more at a place.
    pub(super) fn with(&self, mass_kg: f64, displaced_kg: f64, at_m: &Vec3) -> Self {
        self.with_apart((mass_kg, *at_m), (displaced_kg, *at_m))
    }

    /// Weight in water as a mass, kg: positive sinks.
    pub(super) fn weight_in_water_kg(&self) -> f64 {
        self.mass_kg - self.displaced_kg
    }

    pub(super) fn centre_of_gravity_m(&self) -> Vec3 {
        self.mass_moment / self.mass_kg
    }

    /// `None` where nothing displaces.
    pub(super) fn centre_of_buoyancy_m(&self) -> Option<Vec3> {
        (self.displaced_kg > 0.0).then(|| self.displaced_moment / self.displaced_kg)
    }

    /// From CG to CB, m; zero where nothing displaces.
    pub(super) fn lever_m(&self) -> Vec3 {
        self.centre_of_buoyancy_m()
            .map_or_else(Vec3::zeros, |cb| cb - self.centre_of_gravity_m())
    }

    /// The world's vertical in the boat frame when it hangs free in the water:
    /// CB straight over CG, whatever it weighs, since a weight or lift left
    /// over acts at the centres and turns nothing. `None` where the two
    /// centres are one.
    pub(super) fn up_at_rest(&self) -> Option<Vec3> {
        let lever = self.lever_m();
        (lever.norm() > NO_DIRECTION_M).then(|| lever.normalize())
    }

    /// Where one push up or down of the weight in water would keep it level, m;
    /// `None` where it weighs nothing.
    pub(super) fn weight_in_water_at_m(&self) -> Option<Vec3> {
        let weight = self.weight_in_water_kg();
        (weight.abs() > 1e-9 * self.mass_kg)
            .then(|| (self.mass_moment - self.displaced_moment) / weight)
    }
}
