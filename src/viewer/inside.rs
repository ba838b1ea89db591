//! Where water and other liquids stand inside the craft.
use super::subject::Subject;
pub use crate::equilibrium::StandsIn as Room;
use crate::immersion::WaterPlane;
use crate::mesh::Surface;
use crate::numerics::Vec3;
use crate::study::SwampLine;

/// Liquid inside: its surface is level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterInside {
    /// What it stands in.
    pub room: Room,
    /// Its surface.
    pub plane: WaterPlane,
    /// How much there is, m³; `None` in a space open to the sea.
    pub volume_m3: Option<f64>,
}

impl WaterInside {
    /// The walls round it and its name; `None` where the boat has no such room.
    #[must_use]
    pub fn room_of<'a>(&self, subject: &'a Subject) -> Option<(&'a Surface, &'a str)> {
        let boat = &subject.boat;
        match self.room {
            Room::Compartment(number) => {
                let space = boat.compartments.get(number)?;
                Some((space.surface(), &space.name))
            }
            Room::Tank(number) => {
                let tank = boat.tanks.get(number)?;
                Some((&tank.inside, &tank.name))
            }
        }
    }
}

/// What stands inside at a water plane as the boat has it: in tanks, loose in
/// compartments, and in those that are open to the sea.
#[must_use]
pub fn standing(subject: &Subject, plane: &WaterPlane) -> Vec<WaterInside> {
    let liquids = subject.liquids().iter();
    liquids
        .filter_map(|liquid| Some((liquid.stands_in?, liquid)))
        .filter(|(_, liquid)| liquid.volume_m3 > 0.0)
        .map(|(room, liquid)| WaterInside {
            room,
            plane: WaterPlane {
                up: plane.up,
                level_m: liquid.settled(&plane.up).plane.level_m,
            },
            volume_m3: Some(liquid.volume_m3),
        })
        .chain(open_to_the_sea(subject, plane))
        .collect()
}

/// What stands inside at a moment of a swamping.
#[must_use]
pub fn swamping(subject: &Subject, line: &SwampLine) -> Vec<WaterInside> {
    let up = Vec3::from(line.up);
    let outside = WaterPlane {
        up,
        level_m: line.outside_level_m,
    };
    let boat = &subject.boat;
    let spaces = (0..).zip(&boat.compartments);
    let filling = spaces.filter(|(_, space)| !space.sealed && !space.flooded);
    let water = line.levels_m.iter().zip(&line.compartments_m3);
    let came_in = filling
        .zip(water)
        .filter_map(|((number, _), (level_m, volume_m3))| {
            Some(WaterInside {
                room: Room::Compartment(number),
                plane: WaterPlane {
                    up,
                    level_m: (*level_m)?,
                },
                volume_m3: Some(*volume_m3),
            })
        });
    let in_tanks = standing(subject, &outside);
    let in_tanks = in_tanks
        .into_iter()
        .filter(|water| matches!(water.room, Room::Tank(_)));
    in_tanks
        .chain(came_in)
        .chain(open_to_the_sea(subject, &outside))
        .collect()
}

/// In a flooded compartment the water stands as high as outside.
fn open_to_the_sea<'a>(
    subject: &'a Subject,
    outside: &WaterPlane,
) -> impl Iterator<Item = WaterInside> + use<'a> {
    let plane = *outside;
    let spaces = (0..).zip(&subject.boat.compartments);
    spaces
        .filter(|(_, space)| space.flooded)
        .map(move |(number, _)| WaterInside {
            room: Room::Compartment(number),
            plane,
            volume_m3: None,
        })
}
