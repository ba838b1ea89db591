//! What a wall round an opening gains, net of its own weight.
use std::collections::HashMap;

use rayon::prelude::*;
use serde::Serialize;

use super::cautions::CAUTIONS;
use super::named::{NamedError, opening_named};
use crate::boat::{Boat, Opening};
use crate::equilibrium::{
    Craft, EquilibriumError, Hold, Rest, Sills, find_rest_from, knock, least_lean, map_sphere,
    settle,
};
use crate::mesh::Doubt;
use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3, place_bits};

/// Halvings of the height that reaches the yardstick: to a millionth of a
/// millimetre from a metre.
const HALVINGS: usize = 40;

/// What [`sill`] is asked for.
#[derive(Debug, Clone, Copy)]
pub struct SillOptions {
    /// Tallest wall tried, m.
    pub up_to_m: f64,
    /// Heights tried, without none at all.
    pub heights: u32,
    /// What a square metre of wall weighs, kg/m².
    pub wall_kg_m2: f64,
}

impl Default for SillOptions {
    /// 4 mm of laminate of 1500 kg/m³.
    fn default() -> Self {
        Self {
            up_to_m: 0.2,
            heights: 8,
            wall_kg_m2: 6.0,
        }
    }
}

/// Result of [`sill`].
#[derive(Debug, Clone, Serialize)]
pub struct SillResult {
    /// The boat's name.
    pub name: String,
    /// The opening.
    pub opening: String,
    /// How long its rim is, m.
    pub rim_length_m: f64,
    /// What a square metre of wall weighs, kg/m².
    pub wall_kg_m2: f64,
    /// One sentence that says what matters most.
    pub summary: String,
    /// One row a height, the first without a wall.
    pub rows: Vec<SillRow>,
    /// Height of the yardstick, m, and who says so.
    pub yardstick_m: f64,
    /// Who says so.
    pub yardstick_source: String,
    /// Height of wall with which the sill stands that high, m; absent where
    /// even the tallest tried does not do.
    pub wall_to_yardstick_m: Option<f64>,
    /// What is left out.
    pub notes: Vec<&'static str>,
    /// What no number here covers.
    pub cautions: Vec<String>,
    /// Everything about the meshes that may make these numbers wrong.
    pub mesh_doubts: Vec<Doubt>,
}

/// The craft with a wall of one height.
#[derive(Debug, Clone, Serialize)]
pub struct SillRow {
    /// Height of the wall, m.
    pub wall_m: f64,
    /// What it weighs, kg.
    pub wall_mass_kg: f64,
    /// Height of this opening's sill over the water, m.
    pub sill_m: f64,
    /// What the wall's own weight took of it, m.
    pub lost_to_weight_m: f64,
    /// Height of the lowest sill of all, m.
    pub lowest_sill_m: f64,
    /// Whose that is.
    pub lowest_opening: String,
    /// Least work of a knock that puts this opening under, J.
    pub knock_j: Option<f64>,
    /// Least lean that puts any opening under, deg.
    pub least_tilt_deg: Option<f64>,
    /// Which one that is.
    pub least_tilt_opening: Option<String>,
}

/// Raises the rim of an opening by walls of several heights, floats the boat with
/// each, and finds the height that reaches the green sill yardstick.
///
/// # Errors
/// [`NamedError::Name`] where there is no such opening, [`NamedError::Equilibrium`]
/// where the boat sinks or no rest is found.
pub fn sill(boat: &Boat, opening: &str, options: &SillOptions) -> Result<SillResult, NamedError> {
    let index = opening_named(boat, opening)?;
    let craft = Craft::of(boat);
    let rest = settle(&craft)?.rest;
    let wall = Wall::round(boat, index, options.wall_kg_m2);
    let bare = wall.sill_m(&craft, &rest, 0.0)?;
    let count = options.heights.max(1);
    let rows = (0..=count)
        .into_par_iter()
        .map(|number| {
            let wall_m = options.up_to_m * f64::from(number) / f64::from(count);
            wall.row(&craft, &rest, wall_m, bare)
        })
        .collect::<Result<Vec<SillRow>, EquilibriumError>>()?;
    let green = &boat.yardsticks.sill.green;
    let wall_to_yardstick_m = wall.to_reach(&craft, &rest, green.value, options.up_to_m)?;
    let mut result = SillResult {
        name: boat.name.clone(),
        opening: boat.openings[index].name.clone(),
        rim_length_m: wall.length_m,
        wall_kg_m2: options.wall_kg_m2,
        summary: String::new(),
        rows,
        yardstick_m: green.value,
        yardstick_source: boat.yardsticks.sill.source.clone(),
        wall_to_yardstick_m,
        notes: vec![
            "the wall stands up along the boat's z axis on the whole rim; what it displaces once the water reaches it is left out",
        ],
        cautions: boat
            .cautions
            .iter()
            .cloned()
            .chain(CAUTIONS.iter().map(|&text| text.to_owned()))
            .collect(),
        mesh_doubts: boat.doubts.clone(),
    };
    result.summary = summary(&result, options.up_to_m);
    Ok(result)
}

/// A wall round one opening.
struct Wall<'a> {
    boat: &'a Boat,
    index: usize,
    length_m: f64,
    middle: Vec3,
    kg_m2: f64,
}

impl<'a> Wall<'a> {
    fn round(boat: &'a Boat, index: usize, kg_m2: f64) -> Self {
        let rim = &boat.openings[index].rim;
        let rim = longest_loop(rim).unwrap_or_else(|| in_order(rim));
        let mut length_m = 0.0;
        let mut moment = Vec3::zeros();
        for (number, point) in rim.iter().enumerate() {
            let next = &rim[(number + 1) % rim.len()];
            let piece = (next - point).norm();
            length_m += piece;
            moment += (point + next) * (piece / 2.0);
        }
        let middle = if length_m > 0.0 {
            moment / length_m
        } else {
            rim.first().copied().unwrap_or_default()
        };
        Self {
            boat,
            index,
            length_m,
            middle,
            kg_m2,
        }
    }

    fn mass_kg(&self, wall_m: f64) -> f64 {
        self.length_m * wall_m * self.kg_m2
    }

    /// The craft at rest with a wall, and the openings then.
    fn afloat(
        &self,
        craft: &Craft,
        near: &Rest,
        wall_m: f64,
    ) -> Result<(Craft, Rest, Vec<Opening>), EquilibriumError> {
        let mut openings = self.boat.openings.clone();
        for point in &mut openings[self.index].rim {
            point.z += wall_m;
        }
        let centre = self.middle + Vec3::z() * (wall_m / 2.0);
        let walled = craft.with_load(self.mass_kg(wall_m), &centre);
        let rest = find_rest_from(&walled, near.plane(), Hold::Nothing)?;
        Ok((walled, rest, openings))
    }

    fn sill_m(&self, craft: &Craft, near: &Rest, wall_m: f64) -> Result<f64, EquilibriumError> {
        let (_, rest, openings) = self.afloat(craft, near, wall_m)?;
        let plane = rest.plane();
        Ok(plane.height_m(&openings[self.index].sill_m(&plane.up)))
    }

    fn row(
        &self,
        craft: &Craft,
        near: &Rest,
        wall_m: f64,
        bare_m: f64,
    ) -> Result<SillRow, EquilibriumError> {
        let (walled, rest, openings) = self.afloat(craft, near, wall_m)?;
        let plane = *rest.plane();
        let sill_m = plane.height_m(&openings[self.index].sill_m(&plane.up));
        let sills = Sills::of(&openings);
        let lowest = openings
            .iter()
            .map(|opening| (plane.height_m(&opening.sill_m(&plane.up)), opening))
            .filter(|(_, opening)| opening.lets_water_in())
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let map = map_sphere(&walled, std::slice::from_ref(&rest))?;
        let knock_j = knock(&walled, &sills, &rest, &map)
            .iter()
            .find(|found| found.sill.opening == self.index)
            .map(|found| found.work_m4 * walled.density_kg_m3 * STANDARD_GRAVITY_M_S2);
        let least = least_lean(&walled, &sills, &rest)?.map(|(_, lean)| lean);
        Ok(SillRow {
            wall_m,
            wall_mass_kg: self.mass_kg(wall_m),
            sill_m,
            lost_to_weight_m: bare_m + wall_m - sill_m,
            lowest_sill_m: lowest.map_or(sill_m, |(height, _)| height),
            lowest_opening: lowest.map_or_else(String::new, |(_, o)| o.name.clone()),
            knock_j,
            least_tilt_deg: least.as_ref().map(|lean| lean.lean_rad.to_degrees()),
            least_tilt_opening: least.map(|lean| openings[lean.sill.opening].name.clone()),
        })
    }

    /// The least height that brings the sill to `wanted_m` over the water.
    fn to_reach(
        &self,
        craft: &Craft,
        near: &Rest,
        wanted_m: f64,
        up_to_m: f64,
    ) -> Result<Option<f64>, EquilibriumError> {
        if self.sill_m(craft, near, 0.0)? >= wanted_m {
            return Ok(Some(0.0));
        }
        if self.sill_m(craft, near, up_to_m)? < wanted_m {
            return Ok(None);
        }
        let (mut low, mut high) = (0.0, up_to_m);
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(low, high);
            if self.sill_m(craft, near, middle)? < wanted_m {
                low = middle;
            } else {
                high = middle;
            }
        }
        Ok(Some(high))
    }
}

/// The longest loop of a rim that is given as edges, two ends each in any order:
/// what goes through its middle has a loop of its own there. `None` where the
/// points are no edges that close.
fn longest_loop(rim: &[Vec3]) -> Option<Vec<Vec3>> {
    let mut ends: HashMap<[u64; 3], Vec<usize>> = HashMap::new();
    for (edge, pair) in rim.chunks(2).enumerate() {
        let [from, to] = pair else {
            return None;
        };
        ends.entry(place_bits(from)).or_default().push(edge);
        ends.entry(place_bits(to)).or_default().push(edge);
    }
    if ends.values().any(|edges| edges.len() % 2 == 1) {
        return None;
    }
    let mut walked = vec![false; rim.len() / 2];
    let mut longest: Option<(f64, Vec<Vec3>)> = None;
    for first in 0..walked.len() {
        let (mut points, mut length_m) = (Vec::new(), 0.0);
        let mut at = rim[2 * first];
        let mut next = (!walked[first]).then_some(first);
        while let Some(edge) = next {
            walked[edge] = true;
            points.push(at);
            let (from, to) = (rim[2 * edge], rim[2 * edge + 1]);
            length_m += (to - from).norm();
            at = if from == at { to } else { from };
            let onward = ends.get(&place_bits(&at))?.iter();
            next = onward.copied().find(|&edge| !walked[edge]);
        }
        if longest.as_ref().is_none_or(|(known, _)| length_m > *known) && points.len() > 2 {
            longest = Some((length_m, points));
        }
    }
    longest.map(|(_, points)| points)
}

/// Rim points in the order in which they lie round their middle, seen along the
/// axis that they lie flattest across.
fn in_order(rim: &[Vec3]) -> Vec<Vec3> {
    let count = rim.len() as f64;
    let middle: Vec3 = rim.iter().sum::<Vec3>() / count;
    let spread: nalgebra::Matrix3<f64> = rim
        .iter()
        .map(|point| (point - middle) * (point - middle).transpose())
        .sum();
    let eigen = nalgebra::SymmetricEigen::new(spread);
    let flattest = eigen.eigenvalues.imin();
    let axes: Vec<Vec3> = (0..3)
        .filter(|&axis| axis != flattest)
        .map(|axis| eigen.eigenvectors.column(axis).into())
        .collect();
    let angle = |point: &Vec3| {
        let from = point - middle;
        from.dot(&axes[1]).atan2(from.dot(&axes[0]))
    };
    let mut ordered = rim.to_vec();
    ordered.sort_by(|a, b| angle(a).total_cmp(&angle(b)));
    ordered
}

fn summary(result: &SillResult, up_to_m: f64) -> String {
    let wanted = format!("{:.0} mm over the water", result.yardstick_m * 1e3);
    let others = result
        .rows
        .last()
        .filter(|last| last.lowest_opening != result.opening)
        .map_or_else(String::new, |last| {
            format!("; {} then stands lowest", last.lowest_opening)
        });
    match result.wall_to_yardstick_m {
        Some(wall) if wall > 0.0 => format!(
            "A wall of {:.0} mm round {} ({:.1} kg) brings its sill to {wanted}{others}.",
            wall * 1e3,
            result.opening,
            result.rim_length_m * wall * result.wall_kg_m2
        ),
        Some(_) => format!(
            "{} already stands {wanted} or more{others}.",
            result.opening
        ),
        None => format!(
            "Even a wall of {:.0} mm round {} does not bring its sill to {wanted}{others}.",
            up_to_m * 1e3,
            result.opening
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rim_of_edges_has_the_length_of_its_outer_loop() {
        // Two squares, one inside the other, as edges in no order.
        let ring = |half: f64| {
            let at = [[-half, -half], [half, -half], [half, half], [-half, half]];
            (0..4).map(move |k| [at[k], at[(k + 1) % 4]])
        };
        let mut edges: Vec<_> = ring(1.0).chain(ring(0.9)).collect();
        edges.swap(0, 5);
        edges.swap(2, 7);
        edges[3].reverse();
        let rim: Vec<Vec3> = edges
            .iter()
            .flatten()
            .map(|[x, y]| Vec3::new(*x, *y, 0.0))
            .collect();
        let found = longest_loop(&rim).unwrap();
        assert_eq!(found.len(), 4);
        let length: f64 = (0..4).map(|k| (found[(k + 1) % 4] - found[k]).norm()).sum();
        assert!((length - 8.0).abs() < 1e-12);
        assert!(longest_loop(&rim[1..]).is_none());
    }

    #[test]
    fn a_shuffled_rim_has_its_length() {
        let square = [[0.0, 0.0], [1.0, 1.0], [1.0, 0.0], [0.0, 1.0], [0.5, 0.0]];
        let rim: Vec<Vec3> = square.iter().map(|[y, z]| Vec3::new(2.0, *y, *z)).collect();
        let ordered = in_order(&rim);
        let length: f64 = (0..5)
            .map(|i| (ordered[(i + 1) % 5] - ordered[i]).norm())
            .sum();
        assert!((length - 4.0).abs() < 1e-12);
    }
}
