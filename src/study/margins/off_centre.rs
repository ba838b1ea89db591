//! The person aboard moved over, and a load along an edge.
use serde::Serialize;

use super::super::hydrostatics::coordinates;
use super::super::named::person_aboard;
use super::Study;
use crate::boat::MassEntry;
use crate::equilibrium::{Craft, EquilibriumError, Hold, find_rest_from, settle};
use crate::numerics::Vec3;

/// How far fore and aft of the person the edge is looked for, m.
const EDGE_WITHIN_M: f64 = 0.1;
/// 33 CFR 183.41: what the edge carries is six tenths of the persons capacity.
const EDGE_SHARE: f64 = 0.6;
/// The international pound (exact by definition, 1959), kg.
const POUND_KG: f64 = 0.453_592_37;
/// Off-centre rule of a small commercial code (all persons to one side): most
/// heel, deg, and least height of an opening, m. Published at imorules.com.
const MOST_HEEL_DEG: f64 = 7.0;
const LEAST_LEFT_M: f64 = 0.075;

/// The person aboard sitting on one edge.
#[derive(Debug, Clone, Serialize)]
pub struct PersonLine {
    /// The item taken for the person.
    pub person: String,
    /// "port" or "starboard".
    pub side: String,
    /// Where they sit, m.
    pub at_m: [f64; 3],
    /// Heel there, deg; `None` where the craft finds no rest.
    pub heel_deg: Option<f64>,
    /// Height of the lowest open sill over the water there, m.
    pub sill_m: Option<f64>,
    /// Whether a borrowed rule is met: heel at most 7°, at least 75 mm left.
    pub meets_rule: bool,
}

/// A load along one edge, after 33 CFR 183.41 (borrowed: that rule leaves out
/// canoes and kayaks and has further limits).
#[derive(Debug, Clone, Serialize)]
pub struct EdgeLoadLine {
    /// "port" or "starboard".
    pub side: String,
    /// Where the load sits, m; the person aboard is left ashore.
    pub at_m: [f64; 3],
    /// Greatest load there before an opening is awash, kg.
    pub edge_load_kg: Option<f64>,
    /// That over 0.6, kg.
    pub persons_capacity_kg: Option<f64>,
    /// The same in whole persons.
    pub persons: Option<f64>,
}

/// Persons capacity of a load along one edge, in the load's own unit: over 0.6.
#[must_use]
pub fn persons_capacity_of_edge_load(edge_load: f64) -> f64 {
    edge_load / EDGE_SHARE
}

/// A persons capacity, kg, as a number of persons before rounding:
/// `(pounds + 32)/141` (US Coast Guard, Boatbuilder's Handbook).
#[must_use]
pub fn persons_of_capacity(capacity_kg: f64) -> f64 {
    (capacity_kg / POUND_KG + 32.0) / 141.0
}

impl Study<'_> {
    /// The edge beside the person on either side, at the person's own height.
    fn edges(&self, person: &MassEntry) -> [(&'static str, Vec3); 2] {
        let at = person.centre_m;
        let near = self.boat.envelope.surface.vertices.iter();
        let beside = near.filter(|v| (v.x - at.x).abs() <= EDGE_WITHIN_M);
        let (low, high) = beside.fold((0.0_f64, 0.0_f64), |(low, high), v| {
            (low.min(v.y), high.max(v.y))
        });
        [
            ("port", Vec3::new(at.x, high, at.z)),
            ("starboard", Vec3::new(at.x, low, at.z)),
        ]
    }

    /// The person aboard set on either edge.
    pub(super) fn person_moved(&self) -> Vec<PersonLine> {
        let Some(person) = person_aboard(self.boat) else {
            return Vec::new();
        };
        let lines = self.edges(person).map(|(side, at)| {
            let moved = (at - person.centre_m) * (person.mass_kg / self.craft.mass_kg);
            let shifted = Craft {
                centre_of_gravity_m: self.craft.centre_of_gravity_m + moved,
                ..self.craft.clone()
            };
            let rest = find_rest_from(&shifted, self.rest.plane(), Hold::Nothing).ok();
            let heel_deg = rest.as_ref().map(|rest| rest.plane().heel_deg());
            let sill = rest.and_then(|rest| self.sills.lowest(rest.plane()));
            let sill_m = sill.map(|sill| sill.height_m);
            PersonLine {
                person: person.name.clone(),
                side: side.to_owned(),
                at_m: coordinates(at),
                heel_deg,
                sill_m,
                meets_rule: heel_deg.is_some_and(|heel| heel.abs() <= MOST_HEEL_DEG)
                    && sill_m.is_none_or(|height| height >= LEAST_LEFT_M),
            }
        });
        lines.into()
    }

    /// Either edge loaded, the person left ashore.
    pub(super) fn edge_load(&self) -> Result<Vec<EdgeLoadLine>, EquilibriumError> {
        let Some(person) = person_aboard(self.boat) else {
            return Ok(Vec::new());
        };
        let mass_kg = self.craft.mass_kg - person.mass_kg;
        let moment =
            self.craft.centre_of_gravity_m * self.craft.mass_kg - person.centre_m * person.mass_kg;
        let empty = Craft {
            mass_kg,
            centre_of_gravity_m: moment / mass_kg,
            ..self.craft.clone()
        };
        let rest = settle(&empty)?.rest;
        let without = Study {
            craft: &empty,
            rest: &rest,
            ..*self
        };
        self.edges(person)
            .into_iter()
            .map(|(side, at)| {
                let edge_load_kg = without.greatest_load_kg(&at)?;
                let persons_capacity_kg = edge_load_kg.map(persons_capacity_of_edge_load);
                Ok(EdgeLoadLine {
                    side: side.to_owned(),
                    at_m: coordinates(at),
                    edge_load_kg,
                    persons_capacity_kg,
                    persons: persons_capacity_kg.map(|kg| persons_of_capacity(kg).round()),
                })
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// US Coast Guard Boatbuilder's Handbook, examples of 33 CFR 183.41 and
    /// 183.43: 550 lb → 4.128 → 4 persons, 547 lb → 4.106 → 4; an edge load of
    /// 545 lb → 908 lb, 328 lb → 547 lb.
    #[test]
    fn the_handbooks_examples_come_out() {
        for (pounds, persons) in [(550.0, 4.128), (547.0, 4.106)] {
            let got = persons_of_capacity(pounds * POUND_KG);
            assert!((got - persons).abs() < 0.0005, "{got}");
            assert_eq!(got.round(), 4.0);
        }
        assert_eq!(persons_capacity_of_edge_load(545.0).round(), 908.0);
        assert_eq!(persons_capacity_of_edge_load(328.0).round(), 547.0);
    }
}
