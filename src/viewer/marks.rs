//! What is written over the picture, and the signs beside it.
use super::readings::Readings;
use super::state::ViewerState;
use crate::numerics::Vec3;
use crate::quantity::{Dimension, UnitSystem, show};
use crate::study::{OpeningResult, OpeningVerdict};

/// How far past the hull's box its sides are named, as a share of its length.
const NAMED_PAST: f64 = 0.06;

/// A shape beside a text, so that nothing is told by colour alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Sign {
    /// A sill clear of the water: a full triangle that points up.
    Clear,
    /// Narrow: a triangle that points up, empty.
    Narrow,
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
            OpeningVerdict::Narrow => Self::Narrow,
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
        |height| show(height, Dimension::Length, units),
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
    let heel = show(readings.plane.heel_deg(), Dimension::Angle, state.units);
    let pitch = show(readings.plane.pitch_deg(), Dimension::Angle, state.units);
    let lowest = readings.lowest().map_or_else(
        || "no open opening".to_owned(),
        |opening| opening_text(opening, state.units),
    );
    format!("{name}: heel {heel}, pitch {pitch}, {lowest}")
}

/// Every label of the picture: sills first, which matter most.
#[must_use]
pub fn labels(state: &ViewerState) -> Vec<Label> {
    let readings = state.readings();
    let boat = &state.subject().boat;
    let mut labels: Vec<Label> = readings
        .openings
        .iter()
        .zip(&boat.openings)
        .map(|(result, opening)| Label {
            at_m: opening.sill_m(&readings.plane.up),
            text: opening_text(result, state.units),
            sign: Sign::of(result.verdict),
        })
        .collect();
    let mut mark = |at: Option<Vec3>, text: &str, sign| {
        labels.extend(at.map(|at_m| Label {
            at_m,
            text: text.to_owned(),
            sign,
        }));
    };
    mark(Some(readings.centre_of_gravity_m), "CG", Sign::Gravity);
    mark(readings.centre_of_buoyancy_m, "CB", Sign::Buoyancy);
    let (lo, hi) = boat.hull_box_m;
    // A metacentre far off says only that the craft is stiff that way.
    let near = |m: &Vec3| m.z < hi.z + 2.0 * (hi.z - lo.z) && m.z > lo.z - 2.0 * (hi.z - lo.z);
    mark(metacentre_m(readings).filter(near), "M", Sign::Metacentre);
    let past = NAMED_PAST * (hi.x - lo.x);
    let middle = Vec3::new(
        f64::midpoint(lo.x, hi.x),
        f64::midpoint(lo.y, hi.y),
        0.8 * hi.z + 0.2 * lo.z,
    );
    for (name, at) in [
        ("bow", Vec3::new(hi.x + past, middle.y, middle.z)),
        ("stern", Vec3::new(lo.x - past, middle.y, middle.z)),
        ("port", Vec3::new(middle.x, hi.y + past, middle.z)),
        ("starboard", Vec3::new(middle.x, lo.y - past, middle.z)),
    ] {
        mark(Some(at), name, Sign::Side);
    }
    if state.show.items {
        let aboard = state.edits().items.iter().zip(&state.subject().file.items);
        labels.extend(aboard.filter(|(edit, _)| edit.aboard).map(|(edit, item)| {
            let mass = show(edit.mass_kg, Dimension::Mass, state.units);
            Label {
                at_m: edit.at_m,
                text: format!("{}  {mass}", item.name),
                sign: Sign::Item,
            }
        }));
    }
    labels
}
