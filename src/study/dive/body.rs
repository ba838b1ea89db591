//! The flooded craft as two sums: what weighs and what displaces.
use crate::boat::{AreaMoment, Boat, Compartment, FaceSource, MassEntry};
use crate::equilibrium::{Liquid, space_of};
use crate::numerics::Vec3;
use crate::water::Water;

/// Offset of CB from CG under which there is no direction to hang in, m.
const NO_DIRECTION_M: f64 = 1e-9;

/// Share of a skin's area below which nothing of it is left: rounding of the
/// booleans that cut the spaces.
const NO_SKIN_SHARE: f64 = 1e-9;

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

/// Whether what a thing holds displaces nothing more: its whole volume is stated,
/// or it stands in a space that stays dry.
pub(super) fn covers_contents(boat: &Boat, name: &str) -> bool {
    let mut named = boat.masses.iter().filter(|entry| entry.name == name);
    named.any(|entry| entry.solid_m3.is_some() || entry.dry_in.is_some())
}

/// A boat's things as they displace once it is flooded. A space that stays dry
/// displaces all that its outside encloses, so what stands in it and the skin that
/// bounds it only weigh.
pub(super) struct Body<'a> {
    pub(super) boat: &'a Boat,
    /// Of each thing, in the boat's order.
    wet: Vec<Wet>,
}

/// What of a thing has water round it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wet {
    /// Share of its volume.
    pub(super) share: f64,
    /// From the middle of the whole to the middle of that share, m.
    moved_m: Vec3,
}

impl Wet {
    const ALL: Self = Self {
        share: 1.0,
        moved_m: Vec3::new(0.0, 0.0, 0.0),
    };
    const NONE: Self = Self {
        share: 0.0,
        ..Self::ALL
    };

    fn of(boat: &Boat, entry: &MassEntry) -> Self {
        if entry.dry_in.is_some() {
            return Self::NONE;
        }
        match entry.skin_of {
            Some(source) => Self::of_skin(boat, source),
            None => Self::ALL,
        }
    }

    /// A skin is even, so its volume goes with its area.
    fn of_skin(boat: &Boat, source: FaceSource) -> Self {
        let dry = dry_spaces(boat).fold(AreaMoment::default(), |sum, space| {
            sum.plus(&AreaMoment::of(&space.skin_of(source)))
        });
        let all = AreaMoment::of(&boat.envelope.faces_of(source));
        let left = all.minus(&dry);
        match (left.centroid_m(), all.centroid_m()) {
            (Some(left_at), Some(all_at)) if left.area_m2 > NO_SKIN_SHARE * all.area_m2 => Self {
                share: left.area_m2 / all.area_m2,
                moved_m: left_at - all_at,
            },
            (_, None) => Self::ALL,
            _ => Self::NONE,
        }
    }
}

fn dry_spaces(boat: &Boat) -> impl Iterator<Item = &Compartment> {
    boat.compartments
        .iter()
        .filter(|space| !space.free_flooding)
}

impl<'a> Body<'a> {
    pub(super) fn of(boat: &'a Boat) -> Self {
        let wet = |entry| match dry_spaces(boat).next() {
            Some(_) => Wet::of(boat, entry),
            None => Wet::ALL,
        };
        Self {
            boat,
            wet: boat.masses.iter().map(wet).collect(),
        }
    }

    /// Everything that weighs, with what of it has water round it.
    pub(super) fn things(&self) -> impl Iterator<Item = (&'a MassEntry, Wet)> {
        self.boat.masses.iter().zip(self.wet.iter().copied())
    }

    /// Room inside that the water fills, m³. A skin takes it away where its area lies, as
    /// it displaces, not spread evenly over the inside as afloat; a permeability that the
    /// boat file gives is kept.
    pub(super) fn entrained_water_m3(&self) -> f64 {
        let floods = self.boat.compartments.iter().filter(|s| s.free_flooding);
        let capacity: f64 = floods.clone().map(Compartment::capacity_m3).sum();
        let spread: f64 = floods
            .filter(|space| space.skins_spread)
            .map(|space| space.surface().signed_volume_m3())
            .sum();
        let all = self.boat.envelope.surface.signed_volume_m3();
        let skins = self.things().filter(|(entry, _)| entry.skin_of.is_some());
        let moved =
            skins.filter_map(|(entry, wet)| Some(entry.solid_m3? * (spread / all - wet.share)));
        let any_given = self
            .boat
            .compartments
            .iter()
            .any(|space| space.free_flooding && !space.skins_spread);
        // Which part of the skins a permeability stands for is not known.
        capacity + if any_given { 0.0 } else { moved.sum() }
    }

    /// The spaces that stay dry.
    pub(super) fn dry_spaces(&self) -> impl Iterator<Item = &'a Compartment> {
        dry_spaces(self.boat)
    }

    /// How far off the displaced water may be, kg: of persons without volume, all
    /// off the same way.
    pub(super) fn displaced_spread_kg(&self) -> f64 {
        let spreads = self
            .things()
            .map(|(entry, wet)| wet.share * entry.displaced_spread_kg());
        spreads.sum()
    }
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
        stands_in: None,
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
    pub(super) fn of(body: &Body<'_>, under: &Under<'_>) -> Self {
        let over_pa = under.water.pressure_over_surface_pa(under.depth_m);
        let density = under.water.density_kg_m3;
        let things = body.things().fold(Self::default(), |sum, (entry, wet)| {
            let displaced_kg = entry.displaced_kg(density, over_pa).unwrap_or(0.0);
            sum.with_apart(
                (entry.mass_with_used_kg(under.used_share), entry.centre_m),
                (
                    wet.share * displaced_kg,
                    entry.volume_centre_m() + wet.moved_m,
                ),
            )
        });
        let with_dry = body.dry_spaces().fold(things, |sum, space| {
            let outside = space.surface();
            let displaced_kg = outside.signed_volume_m3() * density;
            sum.with_apart(
                fill(space, density),
                (displaced_kg, outside.volume_centroid_m()),
            )
        });
        body.boat.tanks.iter().fold(with_dry, |sum, tank| {
            let at = tank.inside.volume_centroid_m();
            let displaced_m3 = if covers_contents(body.boat, &tank.name) {
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
