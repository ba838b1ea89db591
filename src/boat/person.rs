//! Who is aboard, as the boat file marks them: never guessed from a mass.
use super::{Boat, MassEntry, MassKind, file};
use crate::numerics::Vec3;

/// How far off the water's density a person without volume may be, as a share.
/// Ours: bodies are 945 kg/m³ with the lungs full and 1028 kg/m³ breathed out.
pub const DENSITY_WITHIN: f64 = 0.03;

/// Someone aboard.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Person {
    /// Top of the head over the centre of gravity, along the boat's z, m.
    pub head_over_m: f64,
    /// Whether the file gives no volume: they are then of the density of whatever
    /// water they are in, within [`DENSITY_WITHIN`].
    pub of_waters_density: bool,
}

impl Person {
    pub(super) fn of_item(item: &file::Item) -> Option<Self> {
        item.person.map(|person| Self {
            head_over_m: person.head.value,
            of_waters_density: item.bulk.is_none(),
        })
    }
}

impl MassEntry {
    /// Whether it is of the density of whatever water it is in.
    #[must_use]
    pub fn is_of_waters_density(&self) -> bool {
        self.person.is_some_and(|person| person.of_waters_density)
    }

    /// Mass of the water that it displaces wholly under water of a density, at a
    /// pressure over the surface's, Pa: kg; `None` where its volume is not known.
    #[must_use]
    pub fn displaced_kg(&self, water_kg_m3: f64, over_pa: f64) -> Option<f64> {
        if self.is_of_waters_density() {
            return Some(self.mass_kg);
        }
        Some(self.volume_at_m3(over_pa)? * water_kg_m3)
    }

    /// How far off that may be, kg: of a person without volume.
    #[must_use]
    pub fn displaced_spread_kg(&self) -> f64 {
        if self.is_of_waters_density() {
            DENSITY_WITHIN * self.mass_kg
        } else {
            0.0
        }
    }

    /// Top of a person's head, boat frame, m.
    #[must_use]
    pub fn head_m(&self) -> Option<Vec3> {
        let person = self.person?;
        Some(self.centre_m + Vec3::z() * person.head_over_m)
    }
}

impl Boat {
    /// Everyone aboard.
    pub fn persons(&self) -> impl Iterator<Item = &MassEntry> {
        self.masses.iter().filter(|entry| entry.person.is_some())
    }

    /// Everything aboard that weighs, the hull itself left out.
    pub fn aboard(&self) -> impl Iterator<Item = &MassEntry> {
        self.masses
            .iter()
            .filter(|entry| entry.kind != MassKind::Hull)
    }
}
