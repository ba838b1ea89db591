//! What is written over the picture, and the signs beside it.
use super::edits::Edits;
use super::ghost::Ghost;
use super::inside::WaterInside;
use super::readings::Readings;
use super::shown::Show;
use super::state::ViewerState;
use super::subject::Subject;
use crate::numerics::Vec3;
use crate::quantity::{Dimension, UnitSystem, show as quantity_text};
use crate::study::{OpeningResult, OpeningVerdict};

/// How far past the hull's box its sides are named, as a share of its length.
const NAMED_PAST: f64 = 0.06;

/// A shape beside a text, so that nothing is told by colour alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Sign {
    /// A sill clear of the water: a full triangle that points up.
    Clear,
    /// Marginal: a triangle that points up, empty.
    Marginal,
    /// Fails: a cross.
    Fails,
    /// Under water: a full triangle that points down.
    UnderWater,
    /// Covered: a square.
    Covered,
    /// Centre of gravity: a disc in four quarters.
    Gravity,
    /// Centre of buoyancy: a ring with a dot.
    Buoyancy,
    /// Metacentre: a ring with an M.
    Metacentre,
    /// Something aboard: a small lozenge.
    Item,
    /// Liquid inside: two short level lines.
    Liquid,
    /// A side of the boat: no shape.
    Side,
}

impl Sign {
    /// The sign of an opening's verdict.
    #[must_use]
    pub fn of(verdict: OpeningVerdict) -> Self {
        match verdict {
            OpeningVerdict::UnderWater => Self::UnderWater,
            OpeningVerdict::Fail => Self::Fails,
            OpeningVerdict::Marginal => Self::Marginal,
            OpeningVerdict::Clear => Self::Clear,
            OpeningVerdict::Covered => Self::Covered,
        }
    }
}

/// A text at a place of the boat.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// Where, boat frame, m.
    pub at_m: Vec3,
    /// What it says.
    pub text: String,
    /// The shape at its place.
    pub sign: Sign,
    /// Whether skin lies before it, as it is seen.
    pub is_far: bool,
}

/// Metacentre across: as far over the centre of buoyancy as its radius, boat
/// frame, m.
#[must_use]
pub fn metacentre_m(readings: &Readings) -> Option<Vec3> {
    let centre = readings.centre_of_buoyancy_m?;
    Some(centre + readings.plane.up * readings.metacentric_radius_m?)
}

/// What an opening's label says: name, height and verdict.
#[must_use]
pub fn opening_text(opening: &OpeningResult, units: UnitSystem) -> String {
    let height = opening.freeboard_m.map_or_else(
        || "sinks".to_owned(),
        |height| quantity_text(height, Dimension::Length, units),
    );
    format!("{}  {height}  {}", opening.name, opening.verdict.word())
}

/// The window's title: what matters most in one line.
#[must_use]
pub fn title(state: &ViewerState) -> String {
    let readings = state.readings();
    let name = &state.subject().boat.name;
    if !readings.floats {
        return format!("{name}: IT SINKS");
    }
    let heel = quantity_text(readings.plane.heel_deg(), Dimension::Angle, state.units);
    let pitch = quantity_text(readings.plane.pitch_deg(), Dimension::Angle, state.units);
    let lowest = readings.lowest().map_or_else(
        || "no open opening".to_owned(),
        |opening| opening_text(opening, state.units),
    );
    format!("{name}: heel {heel}, pitch {pitch}, {lowest}")
}

/// What labels are written of.
struct Labelled<'a> {
    subject: &'a Subject,
    readings: &'a Readings,
    aboard: &'a Edits,
    waters_inside: &'a [WaterInside],
}

/// Every label of the boat: sills first, which matter most.
#[must_use]
pub fn labels(state: &ViewerState) -> Vec<Label> {
    let now = Labelled {
        subject: state.subject(),
        readings: state.readings(),
        aboard: state.aboard(),
        waters_inside: state.waters_inside(),
    };
    now.labels(&state.show, state.units)
}

/// Every label of the boat before.
#[must_use]
pub fn labels_before(ghost: &Ghost, show: &Show, units: UnitSystem) -> Vec<Label> {
    let before = Labelled {
        subject: &ghost.subject,
        readings: &ghost.readings,
        aboard: &ghost.edits,
        waters_inside: &ghost.waters_inside,
    };
    before.labels(show, units)
}

impl Labelled<'_> {
    fn labels(&self, show: &Show, units: UnitSystem) -> Vec<Label> {
        let openings = self.readings.openings.iter();
        let mut labels: Vec<Label> = openings
            .zip(&self.subject.boat.openings)
            .map(|(result, opening)| Label {
                at_m: opening.sill_m(&self.readings.plane.up),
                text: opening_text(result, units),
                sign: Sign::of(result.verdict),
                is_far: false,
            })
            .collect();
        self.centres(&mut labels);
        self.sides(&mut labels);
        if show.water {
            labels.extend(
                self.waters_inside
                    .iter()
                    .filter_map(|w| self.water(w, units)),
            );
        }
        if show.items {
            let aboard = self.aboard.items.iter().zip(&self.subject.file.items);
            labels.extend(aboard.filter(|(edit, _)| edit.aboard).map(|(edit, item)| {
                let mass = quantity_text(edit.mass_kg, Dimension::Mass, units);
                Label {
                    at_m: edit.at_m,
                    text: format!("{}  {mass}", item.name),
                    sign: Sign::Item,
                    is_far: false,
                }
            }));
        }
        labels
    }

    /// Centres of gravity and buoyancy, and the metacentre.
    fn centres(&self, labels: &mut Vec<Label>) {
        let readings = self.readings;
        let (lo, hi) = self.subject.boat.hull_box_m;
        // A metacentre far off says only that the craft is stiff that way.
        let near = |m: &Vec3| m.z < hi.z + 2.0 * (hi.z - lo.z) && m.z > lo.z - 2.0 * (hi.z - lo.z);
        let centres = [
            (Some(readings.centre_of_gravity_m), "CG", Sign::Gravity),
            (readings.centre_of_buoyancy_m, "CB", Sign::Buoyancy),
            (metacentre_m(readings).filter(near), "M", Sign::Metacentre),
        ];
        labels.extend(centres.into_iter().filter_map(|(at, text, sign)| {
            Some(Label {
                at_m: at?,
                text: text.to_owned(),
                sign,
                is_far: false,
            })
        }));
    }

    /// Names of the boat's sides.
    fn sides(&self, labels: &mut Vec<Label>) {
        let (lo, hi) = self.subject.boat.hull_box_m;
        let past = NAMED_PAST * (hi.x - lo.x);
        let middle = Vec3::new(
            f64::midpoint(lo.x, hi.x),
            f64::midpoint(lo.y, hi.y),
            0.8 * hi.z + 0.2 * lo.z,
        );
        let sides = [
            ("bow", Vec3::new(hi.x + past, middle.y, middle.z)),
            ("stern", Vec3::new(lo.x - past, middle.y, middle.z)),
            ("port", Vec3::new(middle.x, hi.y + past, middle.z)),
            ("starboard", Vec3::new(middle.x, lo.y - past, middle.z)),
        ];
        labels.extend(sides.map(|(name, at_m)| Label {
            at_m,
            text: name.to_owned(),
            sign: Sign::Side,
            is_far: false,
        }));
    }

    /// How much liquid stands in a room, on its surface amidships of the room.
    fn water(&self, water: &WaterInside, units: UnitSystem) -> Option<Label> {
        let (walls, name) = water.room_of(self.subject)?;
        let (lo, hi) = walls.bounds()?;
        let middle = (lo + hi) / 2.0;
        let much = water.volume_m3.map_or_else(
            || "open to the water outside".to_owned(),
            |volume_m3| quantity_text(volume_m3, Dimension::Volume, units),
        );
        Some(Label {
            at_m: middle - water.plane.up * water.plane.height_m(&middle),
            text: format!("{name}: {much}"),
            sign: Sign::Liquid,
            is_far: false,
        })
    }
}
