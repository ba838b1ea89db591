//! Things put aboard in the window: their kinds, what each is taken to be, and poses of a
//! person.
use std::fmt::Write as _;

use super::edits::{place_in_text, quoted};
use crate::numerics::Vec3;

/// What is put aboard. What each weighs and takes up is ours, common sizes without a source,
/// and can be changed; a person's weight is too.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cargo {
    /// 80 kg ± 5 kg, seated with the centre 0.25 m over the seat.
    Person,
    /// 12 kg and 6 L, sealed.
    Battery,
    /// A diver's cylinder of steel, empty 14 kg, 12 L of water.
    Cylinder,
    /// 5 kg.
    Lead,
    /// 0.5 kg, about 16 L.
    Foam,
    /// 5 kg as heavy as water.
    Other,
}

/// How a person is aboard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pose {
    /// Where seated.
    Sits,
    /// The centre a quarter of a metre to port, or to starboard.
    Leans(bool),
    /// Standing on the edge of the hull there.
    StepsIn(bool),
}

/// How high a seated person's centre of gravity is over the seat, m. Ours.
const SEATED_M: f64 = 0.25;
/// How far it goes to a side when the upper body leans, m. Ours.
const LEANT_M: f64 = 0.25;
/// How high a standing person's centre is over the feet, m. Ours.
const STANDING_M: f64 = 0.95;

impl Cargo {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Person,
        Self::Battery,
        Self::Cylinder,
        Self::Lead,
        Self::Foam,
        Self::Other,
    ];

    /// Its name on buttons; things put aboard are called after it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Person => "person",
            Self::Battery => "battery",
            Self::Cylinder => "air cylinder",
            Self::Lead => "lead",
            Self::Foam => "foam block",
            Self::Other => "other thing",
        }
    }

    /// What it is taken to be.
    #[must_use]
    pub fn told(self) -> &'static str {
        match self {
            Self::Person => "80 kg ± 5 kg, seated, centre 25 cm over the seat",
            Self::Battery => "12 kg, 6 L, sealed, 18 cm high",
            Self::Cylinder => "14 kg of steel, 12 L at 200 bar, lying",
            Self::Lead => "5 kg, lying flat",
            Self::Foam => "0.5 kg at 32 kg/m³, about 16 L",
            Self::Other => "5 kg, as heavy as water",
        }
    }

    /// Mass and its ±, kg.
    #[must_use]
    pub fn mass_kg(self) -> (f64, f64) {
        match self {
            Self::Person => (80.0, 5.0),
            Self::Battery => (12.0, 0.0),
            Self::Cylinder => (14.0, 0.0),
            Self::Lead | Self::Other => (5.0, 0.0),
            Self::Foam => (0.5, 0.0),
        }
    }

    /// How high its centre lies over what it stands on, m.
    fn over_m(self) -> f64 {
        match self {
            Self::Person => SEATED_M,
            Self::Battery => 0.09,
            Self::Cylinder => 0.09,
            Self::Lead => 0.03,
            Self::Foam => 0.12,
            Self::Other => 0.1,
        }
    }

    fn keys(self) -> &'static str {
        match self {
            Self::Person => "person = true\n",
            Self::Battery => "volume = \"6 L\"\nsealed = true\n",
            Self::Cylinder => {
                "volume = \"14 L\"\ncylinder = { water_volume = \"12 L\", pressure = \"200 bar\" }\n"
            }
            Self::Lead => "density = \"11340 kg/m3\"\n",
            Self::Foam => "density = \"32 kg/m3\"\nsealed = true\n",
            Self::Other => "density = \"1000 kg/m3\"\n",
        }
    }
}

/// A thing that the file does not have.
#[derive(Debug, Clone, PartialEq)]
pub struct Stowed {
    /// Its name.
    pub name: String,
    /// What it is.
    pub cargo: Cargo,
    /// How a person is aboard.
    pub pose: Pose,
    /// Where it stands or sits, boat frame, m.
    pub foot_m: Vec3,
}

impl Stowed {
    /// Its centre of gravity. `edge_m` is the edge of the hull at its station on a side (of
    /// port where true).
    #[must_use]
    pub fn centre_m(&self, edge_m: impl Fn(bool) -> Vec3) -> Vec3 {
        let up = |m: f64| Vec3::z() * m;
        let out = |port: bool| Vec3::y() * if port { LEANT_M } else { -LEANT_M };
        match self.pose {
            Pose::Sits => self.foot_m + up(self.cargo.over_m()),
            Pose::Leans(port) => self.foot_m + up(self.cargo.over_m()) + out(port),
            Pose::StepsIn(port) => edge_m(port) + up(STANDING_M),
        }
    }

    /// Its table, with what it weighs and where it is now.
    pub(super) fn to_toml(&self, mass_kg: f64, at_m: &Vec3) -> String {
        let mut text = format!("\n[[item]]\nname = {}\n", quoted(&self.name));
        let (_, spread_kg) = self.cargo.mass_kg();
        if spread_kg > 0.0 {
            let _ = writeln!(text, "mass = \"{mass_kg} kg ± {spread_kg} kg\"");
        } else {
            let _ = writeln!(text, "mass = {mass_kg:?}");
        }
        let _ = writeln!(text, "at = {}", place_in_text(at_m));
        text.push_str(self.cargo.keys());
        text
    }
}
