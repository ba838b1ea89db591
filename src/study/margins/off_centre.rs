//! The person aboard moved over, and a load along an edge.
use std::iter::once;

use schemars::JsonSchema;
use serde::Serialize;

use super::super::shared::attitude::Lies;
use super::super::shared::hull_side::{RimKind, Side, side_path};
use super::super::shared::hydrostatics::coordinates;
use super::super::shared::named::person_aboard;
use super::super::shared::yardstick::{LEAST_DECK_M, MOST_HEEL_DEG};
use super::Study;
use super::loads::{Followed, LoadEnd};
use crate::boat::{Boat, FaceSource, MassEntry};
use crate::equilibrium::{Craft, EquilibriumError, Settled, settle_worse};
use crate::immersion::WaterPlane;
use crate::mesh::Slicer;
use crate::numerics::{Vec3, least_and_most};

/// How far fore and aft of the person the edge is looked for, m.
const EDGE_WITHIN_M: f64 = 0.1;
/// Share of the way across that the person moves between two looks.
const MOVE_STEP: f64 = 0.1;
/// 33 CFR 183.41: what the edge carries is six tenths of the persons capacity.
const EDGE_SHARE: f64 = 0.6;
/// Stations at which a weather deck is looked for.
const DECK_STATIONS: u8 = 21;

/// The person aboard sitting on one edge.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct PersonLine {
    /// The item taken for the person.
    pub person: String,
    /// "port" or "starboard".
    pub side: String,
    /// Where they sit, m.
    pub at_m: [f64; 3],
    /// Whether the craft, closed up to its openings, turns over before they sit there.
    pub turns_over: bool,
    /// Which sill comes to the water on the way there, before the craft turns over: it
    /// fills first.
    pub floods_first: Option<FloodsFirst>,
    /// Heel there, deg; `None` where the craft turns over or finds no rest.
    pub heel_deg: Option<f64>,
    /// Height of the lowest open sill above the water there, m.
    pub sill_m: Option<f64>,
    /// Height of the lowest point of the deck's edge above the water there, m;
    /// `None` on a craft without a watertight weather deck from stem to stern,
    /// where the rule does not ask for it.
    pub deck_edge_m: Option<f64>,
    /// Whether the borrowed rule is met: heel at most 7°, no opening under, and,
    /// where there is a weather deck from stem to stern, its edge at least 75 mm
    /// above the water.
    pub meets_rule: bool,
}

/// A sill that comes to the water while a person moves over to an edge.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct FloodsFirst {
    /// Of which opening.
    pub opening: String,
    /// Heel of the craft then, deg.
    pub heel_deg: f64,
}

/// What a person on an edge does to the craft that breaks the rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum EdgeDoes {
    /// It turns over.
    TurnsOver,
    /// An opening goes under.
    Floods,
    /// It finds no rest.
    NoRest,
    /// It heels more than the rule allows.
    Heels,
    /// The edge of its full weather deck comes nearer to the water than the rule allows.
    DipsDeck,
}

impl EdgeDoes {
    /// The gravest first.
    pub(crate) const ALL: [Self; 5] = [
        Self::TurnsOver,
        Self::Floods,
        Self::NoRest,
        Self::Heels,
        Self::DipsDeck,
    ];
}

impl PersonLine {
    /// `None` where the rule is met.
    #[must_use]
    pub fn does(&self) -> Option<EdgeDoes> {
        Some(match self.heel_deg {
            _ if self.meets_rule => return None,
            _ if self.floods_first.is_some() => EdgeDoes::Floods,
            _ if self.turns_over => EdgeDoes::TurnsOver,
            _ if self.sill_m.is_some_and(|sill_m| sill_m <= 0.0) => EdgeDoes::Floods,
            None => EdgeDoes::NoRest,
            Some(heel_deg) if heel_deg.abs() > MOST_HEEL_DEG => EdgeDoes::Heels,
            Some(_) => EdgeDoes::DipsDeck,
        })
    }
}

/// A load along one edge, after 33 CFR 183.41 (borrowed: that rule leaves out
/// canoes and kayaks and has further limits).
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct EdgeLoadLine {
    /// "port" or "starboard".
    pub side: String,
    /// Where the load sits, m; the person aboard is left ashore.
    pub at_m: [f64; 3],
    /// What ends it. It turns over at nought where it capsizes with the person
    /// ashore.
    pub end: LoadEnd,
    /// Greatest load there before an opening is awash or the craft turns over, kg.
    pub edge_load_kg: Option<f64>,
    /// That over 0.6, kg.
    pub persons_capacity_kg: Option<f64>,
}

/// Persons capacity of a load along one edge, in the load's own unit: over 0.6.
#[must_use]
pub fn persons_capacity_of_edge_load(edge_load: f64) -> f64 {
    edge_load / EDGE_SHARE
}

impl Study<'_> {
    /// The edge beside the person on either side, at the person's own height; none
    /// where they are not within the craft's length.
    fn edges(&self, person: &MassEntry) -> Vec<(&'static str, Vec3)> {
        let at = person.centre_m;
        let surface = &self.boat.envelope.surface;
        let slicer = Slicer::of(surface);
        let near = surface.vertices.iter().copied();
        let corners = near.filter(|v| (v.x - at.x).abs() <= EDGE_WITHIN_M);
        let cuts = [-EDGE_WITHIN_M, 0.0, EDGE_WITHIN_M]
            .into_iter()
            .flat_map(|off| slicer.section(0, at.x + off).loops)
            .flat_map(|one| one.points);
        let (low, high) = least_and_most(corners.chain(cuts).map(|v| v.y));
        if low > high {
            return Vec::new();
        }
        vec![
            ("port", Vec3::new(at.x, high, at.z)),
            ("starboard", Vec3::new(at.x, low, at.z)),
        ]
    }

    /// The person aboard set on either edge.
    pub(super) fn person_moved(&self) -> Result<Vec<PersonLine>, EquilibriumError> {
        let Some(person) = person_aboard(self.boat) else {
            return Ok(Vec::new());
        };
        let deck_edge = weather_deck_edge(self.boat);
        let line = |(side, at): (&str, Vec3)| {
            let moved = (at - person.centre_m) * (person.mass_kg / self.craft.mass_kg);
            let moved_by = |share| Craft {
                centre_of_gravity_m: self.craft.centre_of_gravity_m + moved * share,
                ..self.craft.clone()
            };
            let (first, others) = self.followed([MOVE_STEP, 1.0], false, moved_by)?;
            let found = others.into_iter().fold(first, |a, b| self.worse(a, b));
            let floods_first = if found.end == LoadEnd::TurnsOver {
                let (first, others) = self.followed([MOVE_STEP, 1.0], true, moved_by)?;
                once(first).chain(others).find_map(|way| self.floods(&way))
            } else {
                None
            };
            let rest = (found.end == LoadEnd::StaysDry).then_some(&found.rest);
            let plane = rest.map(|rest| *rest.plane());
            let heel_deg = plane.map(|plane| plane.heel_deg());
            let sill_m = plane.and_then(|plane| Some(self.sills.lowest(&plane)?.height_m));
            let deck_edge_m = plane.and_then(|plane| lowest_m(deck_edge.as_deref()?, &plane));
            Ok(PersonLine {
                person: person.name.clone(),
                side: side.to_owned(),
                at_m: coordinates(at),
                turns_over: found.end == LoadEnd::TurnsOver,
                floods_first,
                heel_deg,
                sill_m,
                deck_edge_m,
                meets_rule: heel_deg.is_some_and(|heel| heel.abs() <= MOST_HEEL_DEG)
                    && sill_m.is_none_or(|height| height > 0.0)
                    && deck_edge_m.is_none_or(|height| height >= LEAST_DECK_M),
            })
        };
        self.edges(person).into_iter().map(line).collect()
    }

    /// The sill that ended a way, where one did.
    fn floods(&self, way: &Followed) -> Option<FloodsFirst> {
        let plane = way.rest.plane();
        let sill = (way.end == LoadEnd::Awash).then(|| self.sills.lowest(plane))??;
        Some(FloodsFirst {
            opening: self.opening(sill.opening),
            heel_deg: plane.heel_deg(),
        })
    }

    /// Of two ways to sit there the one that turns over, else that whose sill comes
    /// lower, else that which heels more.
    fn worse(&self, a: Followed, b: Followed) -> Followed {
        let badness = |way: &Followed| {
            let plane = way.rest.plane();
            let ends = match way.end {
                LoadEnd::TurnsOver => 2.0,
                LoadEnd::NoRest => 1.0,
                LoadEnd::Awash | LoadEnd::StaysDry => 0.0,
            };
            let sill_m = self.sills.lowest(plane).map_or(0.0, |sill| sill.height_m);
            [ends, -sill_m, plane.heel_deg().abs()]
        };
        if badness(&b) > badness(&a) { b } else { a }
    }

    /// Either edge loaded, the person left ashore.
    pub(super) fn edge_load(&self) -> Result<Vec<EdgeLoadLine>, EquilibriumError> {
        let Some(person) = person_aboard(self.boat) else {
            return Ok(Vec::new());
        };
        let mass_kg = self.craft.mass_kg - person.mass_kg;
        if mass_kg <= 0.0 {
            return Ok(Vec::new());
        }
        let moment =
            self.craft.centre_of_gravity_m * self.craft.mass_kg - person.centre_m * person.mass_kg;
        let empty = Craft {
            mass_kg,
            centre_of_gravity_m: moment / mass_kg,
            ..self.craft.clone()
        };
        let Settled { rest, other, .. } = settle_worse(&empty, self.sills)?;
        let without = Study {
            other: other.as_ref(),
            craft: &empty,
            lies: Lies::at(&rest.plane().up),
            rest: &rest,
            ..*self
        };
        self.edges(person)
            .into_iter()
            .map(|(side, at)| {
                let (end, edge_load_kg, _) = without.greatest_load(&at)?;
                Ok(EdgeLoadLine {
                    side: side.to_owned(),
                    at_m: coordinates(at),
                    end,
                    edge_load_kg,
                    persons_capacity_kg: edge_load_kg.map(persons_capacity_of_edge_load),
                })
            })
            .collect()
    }
}

/// Points of the deck's edge, port and starboard, of a craft closed from stem to
/// stern: nothing lets water in, no cap stands for a missing deck, and at every
/// station each side runs up to a deck or to the middle of the top. `None` for any
/// other, and for a round one that has no edge.
fn weather_deck_edge(boat: &Boat) -> Option<Vec<Vec3>> {
    let open = boat.openings.iter().any(|opening| opening.lets_water_in());
    let capped = boat
        .envelope
        .sources
        .iter()
        .any(|s| matches!(s, FaceSource::Cap(_)));
    if open || capped {
        return None;
    }
    let (lo, hi) = boat.hull_box_m;
    let slicer = Slicer::of(&boat.envelope.surface);
    let mut edge = Vec::new();
    for station in 0..DECK_STATIONS {
        let share = (f64::from(station) + 0.5) / f64::from(DECK_STATIONS);
        let cut = slicer.section(0, lo.x + (hi.x - lo.x) * share);
        for side in Side::BOTH {
            let path = side_path(boat, &cut, side)?;
            match path.rim {
                RimKind::DeckEdge => edge.push(path.rim_m()),
                RimKind::Middle => {}
                RimKind::OpenEdge | RimKind::Recess => return None,
            }
        }
    }
    (!edge.is_empty()).then_some(edge)
}

/// Height of the lowest of some points above the water, m.
fn lowest_m(points: &[Vec3], plane: &WaterPlane) -> Option<f64> {
    points
        .iter()
        .map(|point| plane.height_m(point))
        .reduce(f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// US Coast Guard Boatbuilder's Handbook, examples of 33 CFR 183.41, the fraction cut
    /// off: an edge load of 545 lb → 908 lb, 328 lb → 546 lb.
    #[test]
    fn the_handbooks_examples_come_out() {
        assert_eq!(persons_capacity_of_edge_load(545.0).floor(), 908.0);
        assert_eq!(persons_capacity_of_edge_load(328.0).floor(), 546.0);
    }
}
