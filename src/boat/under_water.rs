//! What things displace under water and how pressure and an emptying cylinder
//! change it.
use super::MassEntry;
use super::file::{self, Gives, point_m};
use crate::numerics::Vec3;
use crate::water::{ATMOSPHERE_PA, air_density_kg_m3};

/// Compressed air in a rigid cylinder.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AirStore {
    /// Space inside, m³.
    pub water_volume_m3: f64,
    /// Pressure over the surrounding air when full, Pa.
    pub full_pa: f64,
    /// The same at the end of a dive, Pa.
    pub reserve_pa: f64,
}

impl AirStore {
    /// Mass of the air at a pressure over the surrounding air, Pa: kg, at 20 °C.
    #[must_use]
    pub fn air_kg(&self, pressure_pa: f64) -> f64 {
        self.water_volume_m3 * air_density_kg_m3(pressure_pa)
    }

    /// Mass of the air that a dive uses: full less reserve, kg.
    #[must_use]
    pub fn used_kg(&self) -> f64 {
        self.air_kg(self.full_pa) - self.air_kg(self.reserve_pa)
    }
}

/// How a volume gives way to pressure.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum GivesWay {
    /// Not at all, as solid material and sealed housings are taken.
    #[default]
    Rigid,
    /// This much of it, m³ at the surface, is gas in a soft skin: Boyle's law,
    /// at one temperature. For a foam neoprene suit the most that it can lose.
    SoftGas {
        /// m³ at the surface.
        gas_m3: f64,
    },
    /// Evenly stiff: `dV/V = −dp/stiffness`, so `V = V₀ exp(−p/stiffness)`.
    Stiff {
        /// Pa.
        stiffness_pa: f64,
    },
}

impl GivesWay {
    /// What is left of a volume (m³ at the surface) at a pressure over the
    /// surface's, Pa.
    #[must_use]
    pub fn volume_m3(&self, surface_m3: f64, over_pa: f64) -> f64 {
        match *self {
            Self::Rigid => surface_m3,
            Self::SoftGas { gas_m3 } => {
                surface_m3 - gas_m3 + gas_m3 * ATMOSPHERE_PA / (ATMOSPHERE_PA + over_pa)
            }
            Self::Stiff { stiffness_pa } => surface_m3 * (-over_pa / stiffness_pa).exp(),
        }
    }
}

/// What a mass entry is under water.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct UnderWater {
    /// Middle of its volume where that is not its centre of gravity, m.
    pub volume_centre_m: Option<Vec3>,
    /// Its length, breadth and height, m, where stated.
    pub size_m: Option<Vec3>,
    /// Whether no water gets in.
    pub sealed: bool,
    /// Compressed air in it; the entry's mass holds the full one's.
    pub air: Option<AirStore>,
    /// How its volume gives way to pressure.
    pub gives_way: GivesWay,
}

impl UnderWater {
    pub(super) fn of_item(item: &file::Item) -> Self {
        Self {
            volume_centre_m: item.volume_at.as_ref().map(point_m),
            size_m: item.size.as_ref().map(point_m),
            sealed: item.sealed,
            air: item.cylinder.map(|cylinder| AirStore {
                water_volume_m3: cylinder.water_volume.value,
                full_pa: cylinder.pressure.value,
                reserve_pa: cylinder.reserve.value,
            }),
            gives_way: match item.gives {
                None => GivesWay::Rigid,
                Some(Gives::SoftGas(gas)) => GivesWay::SoftGas { gas_m3: gas.value },
                Some(Gives::Stiffness(stiffness)) => GivesWay::Stiff {
                    stiffness_pa: stiffness.value,
                },
            },
        }
    }
}

impl MassEntry {
    /// Middle of its volume, boat frame, m.
    #[must_use]
    pub fn volume_centre_m(&self) -> Vec3 {
        self.under_water.volume_centre_m.unwrap_or(self.centre_m)
    }

    /// Its volume at a pressure over the surface's, Pa; `None` where the file
    /// does not say.
    #[must_use]
    pub fn volume_at_m3(&self, over_pa: f64) -> Option<f64> {
        let surface = self.solid_m3?;
        Some(self.under_water.gives_way.volume_m3(surface, over_pa))
    }

    /// Its mass with a share of what its cylinder gives in a dive used up: 0
    /// full, 1 down to the reserve; kg.
    #[must_use]
    pub fn mass_with_used_kg(&self, used_share: f64) -> f64 {
        let used = self.under_water.air.map_or(0.0, |air| air.used_kg());
        self.mass_kg - used_share * used
    }
}
