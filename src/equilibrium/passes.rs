//! Ways over from one rest to another: where basins touch, and the equilibrium there.
use nalgebra::Vector2;

use super::landscape::{Landscape, Spot, angle, between};
use super::sphere::Pass;
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// Longest step to a pass, and how far it may lie from where the search began, rad of
/// `w`.
const STEP: f64 = 0.15;
const WITHIN: f64 = 0.9;
/// Steps to a pass before it is given up.
const MOST_STEPS: usize = 40;
/// A pass is found once the volume is right within this share and the lever within this
/// share of the craft's size.
const VOLUME_WITHIN: f64 = 1e-10;
const ARM_WITHIN: f64 = 1e-9;
/// Levels on the way need be no better.
const LEVEL_WITHIN: f64 = 0.01;
/// Ridges up to this share over the lowest between the same rests are searched: the
/// twin on the other side may be the lower one.
const OVER_LOWEST: f64 = 0.15;
/// Ridges of the same rests this near to each other are one, rad of `w`, and the most
/// of them.
const APART: f64 = 0.4;
const MOST_RIDGES: usize = 4;

/// Where two basins touch: an edge between two spots.
#[derive(Debug, Clone)]
pub(super) struct Ridge {
    /// The rests on either side.
    pub(super) between: [usize; 2],
    spots: [usize; 2],
    /// The highest energy on the edge as its ends foretell it, and where that is.
    pub(super) energy_m4: f64,
    share: f64,
}

impl Ridge {
    /// The highest place of the edge.
    pub(super) fn start(&self, land: &Landscape<'_>, spots: &[Spot]) -> Spot {
        self.place(land, spots, self.share)
    }

    fn place(&self, land: &Landscape<'_>, spots: &[Spot], share: f64) -> Spot {
        let [a, b] = self.spots.map(|spot| &spots[spot]);
        let up = land.up_of(&between(&a.stretched, &b.stretched, share));
        land.spot_towards(if share < 0.5 { a } else { b }, &up, LEVEL_WITHIN)
    }

    /// The highest energy met on the edge, looked at, and where.
    pub(super) fn looked_at(&self, land: &Landscape<'_>, spots: &[Spot]) -> (f64, WaterPlane) {
        const LOOKS: u8 = 8;
        let looks = (0..=LOOKS).map(|look| f64::from(look) / f64::from(LOOKS));
        let found = looks.map(|share| self.place(land, spots, share));
        let highest = found.max_by(|a, b| a.energy_m4.total_cmp(&b.energy_m4));
        highest.map_or((f64::INFINITY, spots[self.spots[0]].plane), |spot| {
            (spot.energy_m4, spot.plane)
        })
    }
}

/// Groups that ways join, lowest first.
pub(super) struct Ends {
    tree: Vec<([usize; 2], f64)>,
    count: usize,
}

impl Ends {
    pub(super) fn join(ways: &[Pass], count: usize) -> Self {
        let edges = ways.iter().map(|way| (way.between, way.energy_m4));
        Self::of(edges.collect(), count)
    }

    fn of(mut edges: Vec<([usize; 2], f64)>, count: usize) -> Self {
        edges.sort_by(|a, b| a.1.total_cmp(&b.1));
        let mut group: Vec<usize> = (0..count).collect();
        edges.retain(|(ends, _)| {
            let [a, b] = ends.map(|end| group[end]);
            for member in &mut group {
                if *member == b {
                    *member = a;
                }
            }
            a != b
        });
        Self { tree: edges, count }
    }

    /// The greatest energy on the lowest way between two; infinite where there is none.
    pub(super) fn highest(&self, ends: [usize; 2]) -> f64 {
        let mut group: Vec<usize> = (0..self.count).collect();
        for (joined, energy_m4) in &self.tree {
            let [a, b] = joined.map(|end| group[end]);
            for member in &mut group {
                if *member == b {
                    *member = a;
                }
            }
            if group[ends[0]] == group[ends[1]] {
                return *energy_m4;
            }
        }
        f64::INFINITY
    }
}

/// The basin of every spot, and the ridges between basins worth a search: the lowest
/// between any two rests, and those little higher elsewhere. `labels` are the numbers
/// of the spots that are rests. Spots `near` each other, rad of `w`, are neighbours.
pub(super) fn ridges(
    land: &Landscape<'_>,
    spots: &[Spot],
    labels: &[Option<usize>],
    near: f64,
) -> (Vec<usize>, Vec<Ridge>) {
    let (basin, touching) = basins(neighbours(land, spots, near), labels);
    let mut found: Vec<Ridge> = touching
        .into_iter()
        .map(|(energy_m4, share, ends)| {
            let mut between = ends.map(|spot| basin[spot]);
            between.sort_unstable();
            Ridge {
                between,
                spots: ends,
                energy_m4,
                share,
            }
        })
        .filter(|ridge| ridge.between[0] != ridge.between[1])
        .collect();
    found.sort_by(|a, b| a.energy_m4.total_cmp(&b.energy_m4));
    let kept = worth_a_search(found, spots, labels);
    (basin, kept)
}

/// The energy and the share of the way at the highest between two spots.
type Edge = (f64, f64, [usize; 2]);

/// Every two spots near each other, the lowest between them first.
fn neighbours(land: &Landscape<'_>, spots: &[Spot], near: f64) -> Vec<Edge> {
    let cosine = near.cos();
    let mut edges = Vec::new();
    for (i, here) in spots.iter().enumerate() {
        for (j, there) in spots.iter().enumerate().skip(i + 1) {
            if here.stretched.dot(&there.stretched) >= cosine {
                let (energy, share) = land.highest_between(here, there);
                edges.push((energy, share, [i, j]));
            }
        }
    }
    edges.sort_by(|a: &Edge, b| a.0.total_cmp(&b.0));
    edges
}

/// The rest below every spot, and the edges at which two basins touch.
fn basins(edges: Vec<Edge>, labels: &[Option<usize>]) -> (Vec<usize>, Vec<Edge>) {
    // Spots joined so far, each group with the rest in it, if any.
    let mut root: Vec<usize> = (0..labels.len()).collect();
    let mut label = labels.to_vec();
    let mut touching = Vec::new();
    for edge in edges {
        let [a, b] = edge.2.map(|spot| find(&mut root, spot));
        if a == b {
            continue;
        }
        if label[a].is_some() && label[b].is_some() {
            touching.push(edge);
        } else {
            root[b] = a;
            label[a] = label[a].or(label[b]);
        }
    }
    let basin = (0..labels.len()).map(|spot| label[find(&mut root, spot)].unwrap_or(0));
    (basin.collect(), touching)
}

/// Of ridges, the lowest first, those that are the lowest between their rests or little
/// higher and elsewhere.
fn worth_a_search(found: Vec<Ridge>, spots: &[Spot], labels: &[Option<usize>]) -> Vec<Ridge> {
    let count = labels.iter().flatten().count();
    let ways = found.iter().map(|ridge| (ridge.between, ridge.energy_m4));
    let joined = Ends::of(ways.collect(), count);
    let mut energy = vec![f64::INFINITY; count];
    for (spot, label) in spots.iter().zip(labels) {
        if let Some(rest) = label {
            energy[*rest] = spot.energy_m4;
        }
    }
    let mut kept: Vec<(Ridge, Vec3)> = Vec::new();
    for ridge in found {
        let floor = ridge.between.map(|rest| energy[rest]);
        let floor = floor[0].max(floor[1]);
        let lowest = joined.highest(ridge.between);
        let ends = ridge.spots.map(|spot| spots[spot].stretched);
        let middle = ends.iter().sum::<Vec3>().normalize();
        let same: Vec<&Vec3> = kept
            .iter()
            .filter(|(other, _)| other.between == ridge.between)
            .map(|(_, middle)| middle)
            .collect();
        if ridge.energy_m4 <= lowest + OVER_LOWEST * (lowest - floor).max(0.0)
            && same.len() < MOST_RIDGES
            && same.iter().all(|other| angle(other, &middle) > APART)
        {
            kept.push((ridge, middle));
        }
    }
    kept.into_iter().map(|(ridge, _)| ridge).collect()
}

fn find(root: &mut [usize], mut spot: usize) -> usize {
    while root[spot] != spot {
        root[spot] = root[root[spot]];
        spot = root[spot];
    }
    spot
}

/// Climbs along the softest direction and slides down across it until the slope is
/// gone. `None` where it does not come to an equilibrium with one way down nearby.
pub(super) fn climb(land: &Landscape<'_>, start: Spot) -> Option<Spot> {
    let from = start.stretched;
    let mut here = start;
    for _ in 0..MOST_STEPS {
        let [(soft, along), (stiff, across)] = here.softest();
        if land.is_level(&here, VOLUME_WITHIN, ARM_WITHIN) {
            return (soft < 0.0 && stiff > 0.0).then_some(here);
        }
        let least = f64::MIN_POSITIVE;
        let up = here.slope.dot(&along) / soft.abs().max(least);
        let down = -here.slope.dot(&across) / stiff.abs().max(least);
        let step: Vector2<f64> = along * up.clamp(-STEP, STEP) + across * down.clamp(-STEP, STEP);
        let next = land.step(&here, &step, LEVEL_WITHIN);
        if angle(&next.stretched, &from) > WITHIN {
            return None;
        }
        here = next;
    }
    None
}
