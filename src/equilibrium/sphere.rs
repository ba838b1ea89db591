//! Every attitude in which a craft comes to rest, and the passes between them.
use rayon::prelude::*;

use super::energy::Craft;
use super::landscape::{Frame, Landscape, Spot, angle};
use super::looks::{
    GRID_VOLUME_WITHIN, NEIGHBOURS_WITHIN, grid, heel_curve, lowest, spacing, turning_points,
};
use super::neutral::{Family, heel_range_deg};
use super::passes::{Ends, Ridge, climb, ridges};
use super::rest::{EquilibriumError, Hold, Rest, find_rest_from};
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// Rests nearer to each other than this are one, rad.
const SAME_REST_RAD: f64 = 1e-3;
/// A rise of the energy under this share of `volume × size` is none: the craft is
/// neutral along it. A millionth: 0.006 J for 200 kg and 3 m.
pub(super) const NEUTRAL: f64 = 1e-6;
/// Passes nearer to each other than this are one, rad of `w`.
const SAME_PASS: f64 = 1e-3;
/// How far off a pass, rad of `w`, the ways down begin.
const OFF_PASS: f64 = 0.02;
/// A way over that the grid saw this share lower than every pass found exactly is taken
/// as seen: a pass was missed there.
const MISSED: f64 = 0.03;
/// A rest that moved by more than this from a craft to one nearly the same is sought
/// anew, rad of `w`.
const MOVED_BY: f64 = 0.5;

/// An attitude in which the craft comes to rest by itself.
#[derive(Debug, Clone)]
pub struct RestingAttitude {
    /// The craft there.
    pub rest: Rest,
    /// Whether it stays as well in attitudes beside it, like a log that rolls.
    pub neutral: bool,
    /// The heel from which to which it stays so, deg: from the first value up to the
    /// second, which is over 180 where the range holds upside down. Twice the same
    /// where it is not neutral; −180 to 180 all round.
    pub heel_range_deg: [f64; 2],
    /// Other attitudes in which it stays as well.
    pub(super) beside: Vec<WaterPlane>,
}

/// A way over from one rest to another.
#[derive(Debug, Clone)]
pub struct Pass {
    /// Numbers of the two rests.
    pub between: [usize; 2],
    /// The water plane at the top of the way.
    pub plane: WaterPlane,
    /// Energy there, m⁴.
    pub energy_m4: f64,
    /// Whether it is an equilibrium found exactly; else a point of the grid,
    /// whose energy is a little over or under the pass's.
    pub exact: bool,
}

/// A place of the map: an attitude with the displacement held.
#[derive(Debug, Clone)]
pub(super) struct MapPoint {
    pub(super) plane: WaterPlane,
    pub(super) energy_m4: f64,
    /// Of the waterplane.
    pub(super) area_m2: f64,
    /// The rest that it drains to.
    pub(super) attitude: usize,
}

/// All rests, lowest energy first, and the passes that join them as a tree.
///
/// The energy at held displacement is looked at in directions spread evenly once the
/// sphere is stretched by the hull's extents, and along the heel curve with pitch free.
/// Rests are sought from every lowest spot of both and from rests already known; passes
/// by climbing from where the basins of two rests touch lowest and from the heel curve's
/// tops, each way down followed. That every rest and pass is found rests on the spacing
/// of those looks and is not proved.
#[derive(Debug, Clone)]
pub struct SphereMap {
    /// The rests.
    pub attitudes: Vec<RestingAttitude>,
    /// The lowest passes that join all rests: one fewer than rests.
    pub passes: Vec<Pass>,
    /// Kernel calls taken.
    pub kernel_calls: usize,
    /// Every pass found: those of the tree and higher ones, like a twin on the other
    /// side.
    ways: Vec<Pass>,
    /// Where the energy was looked at. Empty in a map made from another.
    pub(super) points: Vec<MapPoint>,
    /// How the sphere is stretched.
    pub(super) frame: Frame,
}

impl SphereMap {
    /// The pass that has to be climbed from one rest to another: the highest on
    /// the way through the tree. `None` from a rest to itself.
    #[must_use]
    pub fn highest_pass(&self, from: usize, to: usize) -> Option<&Pass> {
        self.way_over(from, to).map(|(pass, _)| pass)
    }

    /// The highest pass on the way from one rest to another, and the rest just beyond
    /// it.
    pub(super) fn way_over(&self, from: usize, to: usize) -> Option<(&Pass, usize)> {
        let mut reached: Vec<Option<Option<(usize, usize)>>> = vec![None; self.attitudes.len()];
        *reached.get_mut(from)? = Some(None);
        let mut waiting = vec![from];
        while let Some(here) = waiting.pop() {
            let so_far = reached[here].flatten();
            for (number, pass) in self.passes.iter().enumerate() {
                let there = match pass.between {
                    [a, b] if a == here => b,
                    [a, b] if b == here => a,
                    _ => continue,
                };
                if reached[there].is_none() {
                    let higher = so_far
                        .filter(|&(known, _)| self.passes[known].energy_m4 > pass.energy_m4)
                        .unwrap_or((number, there));
                    reached[there] = Some(Some(higher));
                    waiting.push(there);
                }
            }
        }
        let (number, beyond) = reached.get(to).copied()???;
        Some((&self.passes[number], beyond))
    }

    /// The number of the resting attitude that a rest is, or is nearest to.
    #[must_use]
    pub fn number_of(&self, rest: &Rest) -> usize {
        self.nearest(&rest.plane().up)
    }

    /// The number of the resting attitude that a rest is; `None` for a new one.
    pub(super) fn number_known(&self, rest: &Rest) -> Option<usize> {
        let number = self.number_of(rest);
        let known = self.attitudes.get(number)?.rest.plane();
        (angle(&known.up, &rest.plane().up) <= SAME_REST_RAD).then_some(number)
    }

    fn nearest(&self, up: &Vec3) -> usize {
        let off = |attitude: &RestingAttitude| {
            let others = attitude.beside.iter().map(|plane| plane.up);
            std::iter::once(attitude.rest.plane().up)
                .chain(others)
                .map(|there| angle(&there, up))
                .fold(f64::INFINITY, f64::min)
        };
        (0..self.attitudes.len())
            .min_by(|&a, &b| off(&self.attitudes[a]).total_cmp(&off(&self.attitudes[b])))
            .unwrap_or(0)
    }

    /// The map of a craft nearly the same, from this one: each rest and pass is followed
    /// to where it has moved, in a few kernel calls each. Made anew where that fails,
    /// as where a rest is gone or two passes meet; a rest that is new is not looked for.
    ///
    /// # Errors
    /// As [`map_sphere`].
    pub fn near(&self, craft: &Craft, rest: &Rest) -> Result<Self, EquilibriumError> {
        match self.followed(craft, rest) {
            Some(map) => Ok(map),
            None => map_sphere(craft, std::slice::from_ref(rest)),
        }
    }

    fn followed(&self, craft: &Craft, rest: &Rest) -> Option<Self> {
        let land = Landscape::within(craft, self.frame);
        let home = self.number_of(rest);
        let mut attitudes = Vec::with_capacity(self.attitudes.len());
        for (number, attitude) in self.attitudes.iter().enumerate() {
            if attitude.neutral {
                return None;
            }
            let was = attitude.rest.plane();
            let found = if number == home {
                rest.clone()
            } else {
                find_rest_from(craft, was, Hold::Nothing).ok()?
            };
            land.add_calls(found.kernel_calls);
            let moved = angle(&land.stretched(&was.up), &land.stretched(&found.plane().up));
            let met = |other: &RestingAttitude| {
                angle(&other.rest.plane().up, &found.plane().up) <= SAME_REST_RAD
            };
            if moved > MOVED_BY || attitudes.iter().any(met) {
                return None;
            }
            attitudes.push(RestingAttitude {
                heel_range_deg: [found.plane().heel_deg(); 2],
                rest: found,
                neutral: false,
                beside: Vec::new(),
            });
        }
        let mut ways: Vec<Pass> = Vec::with_capacity(self.ways.len());
        for way in &self.ways {
            let start = land.spot(&way.plane, GRID_VOLUME_WITHIN);
            let top = climb(&land, start)?;
            let floor = way.between.map(|end| attitudes[end].rest.energy_m4);
            let moved = angle(&land.stretched(&way.plane.up), &top.stretched);
            let met =
                |other: &Pass| angle(&land.stretched(&other.plane.up), &top.stretched) <= SAME_PASS;
            if moved > MOVED_BY || top.energy_m4 < floor[0].max(floor[1]) || ways.iter().any(met) {
                return None;
            }
            ways.push(Pass {
                between: way.between,
                plane: top.plane,
                energy_m4: top.energy_m4,
                exact: true,
            });
        }
        let passes = tree(ways.clone(), attitudes.len());
        (passes.len() + 1 == attitudes.len()).then(|| Self {
            attitudes,
            passes,
            kernel_calls: land.calls(),
            ways,
            points: Vec::new(),
            frame: self.frame,
        })
    }
}

/// Maps the energy over every attitude. `known` are rests already found.
///
/// # Errors
/// As [`super::find_rest`].
pub fn map_sphere(craft: &Craft, known: &[Rest]) -> Result<SphereMap, EquilibriumError> {
    let land = Landscape::new(craft);
    let mut spots = grid(&land)?;
    let curve = heel_curve(&land, known);
    let turns = turning_points(&land, &curve);
    spots.extend(curve);
    let mut rests = Rests::new(&land);
    for rest in known {
        rests.add(rest.clone(), &spots);
    }
    let mut seeds = lowest(&spots);
    seeds.extend(turns.lowest);
    seeds.sort_by(|a, b| a.energy_m4.total_cmp(&b.energy_m4));
    for seed in &seeds {
        rests.settle(seed, &spots)?;
    }
    let first = rests.families.len();
    for family in &rests.families {
        spots.push(family.spot.clone());
    }
    let labels: Vec<Option<usize>> = (0..spots.len())
        .map(|i| (i + first).checked_sub(spots.len()))
        .collect();
    let near = NEIGHBOURS_WITHIN * spacing();
    let (mut basin, ridges) = ridges(&land, &spots, &labels, near);
    let mut tops: Vec<Spot> = turns
        .highest
        .iter()
        .filter(|top| !rests.families.iter().any(|family| family.holds(&land, top)))
        .cloned()
        .collect();
    for ridge in &ridges {
        let top = ridge.start(&land, &spots);
        if tops
            .iter()
            .all(|t| angle(&t.stretched, &top.stretched) > near / 2.0)
        {
            tops.push(top);
        }
    }
    let ways = rests.passes(&tops, &spots);
    for (family, rest) in rests.families.iter().enumerate().skip(first) {
        spots.push(rest.spot.clone());
        basin.push(family);
    }
    Ok(rests.map(ways, &ridges, &spots, &basin))
}

/// The rests found so far.
struct Rests<'a> {
    land: &'a Landscape<'a>,
    families: Vec<Family>,
}

impl<'a> Rests<'a> {
    fn new(land: &'a Landscape<'a>) -> Self {
        Self {
            land,
            families: Vec::new(),
        }
    }

    /// Goes down from a spot to its rest, unless that lies in a range known as neutral.
    fn settle(&mut self, seed: &Spot, spots: &[Spot]) -> Result<usize, EquilibriumError> {
        let held = |family: &Family| family.holds(self.land, seed);
        if let Some(number) = self.families.iter().position(held) {
            return Ok(number);
        }
        let rest = find_rest_from(self.land.craft, &seed.plane, Hold::Nothing)?;
        self.land.add_calls(rest.kernel_calls);
        Ok(self.add(rest, spots))
    }

    /// The number of a rest, a new one where it is none of those known.
    fn add(&mut self, rest: Rest, spots: &[Spot]) -> usize {
        let spot = self.land.spot(rest.plane(), GRID_VOLUME_WITHIN);
        let same = |family: &Family| {
            angle(&family.spot.plane.up, &spot.plane.up) <= SAME_REST_RAD
                || family.holds(self.land, &spot)
        };
        if let Some(number) = self.families.iter().position(same) {
            return number;
        }
        self.families
            .push(Family::of(self.land, rest, spot, spots, spacing()));
        self.families.len() - 1
    }

    /// The passes near some spots, each with the rests that it joins.
    fn passes(&mut self, tops: &[Spot], spots: &[Spot]) -> Vec<Pass> {
        let land = self.land;
        let climbed: Vec<Spot> = tops
            .par_iter()
            .filter_map(|top| climb(land, top.clone()))
            .collect();
        let mut distinct: Vec<Spot> = Vec::new();
        for top in climbed {
            let same = |other: &Spot| angle(&other.stretched, &top.stretched) <= SAME_PASS;
            if !distinct.iter().any(same) {
                distinct.push(top);
            }
        }
        let down: Vec<(Spot, [Option<Rest>; 2])> = distinct
            .into_par_iter()
            .map(|top| {
                let [(_, soft), _] = top.softest();
                let ends = [OFF_PASS, -OFF_PASS].map(|off| {
                    let beside = land.step(&top, &(soft * off), GRID_VOLUME_WITHIN);
                    find_rest_from(land.craft, &beside.plane, Hold::Nothing).ok()
                });
                (top, ends)
            })
            .collect();
        let mut passes = Vec::new();
        for (top, ends) in down {
            let [Some(a), Some(b)] = ends else { continue };
            land.add_calls(a.kernel_calls + b.kernel_calls);
            let between = [self.add(a, spots), self.add(b, spots)];
            if between[0] != between[1] {
                passes.push(Pass {
                    between,
                    plane: top.plane,
                    energy_m4: top.energy_m4,
                    exact: true,
                });
            }
        }
        passes
    }

    /// Puts rests, passes and looks together.
    fn map(self, ways: Vec<Pass>, ridges: &[Ridge], spots: &[Spot], basin: &[usize]) -> SphereMap {
        let land = self.land;
        let mut ways = self.over_ridges(ways, ridges, spots);
        let (group, joined) = self.neutral_groups(&ways);
        let mut kept: Vec<usize> = (0..group.len()).filter(|&i| group[i] == i).collect();
        kept.sort_by(|&a, &b| {
            let energy = |i: usize| self.families[i].rest.energy_m4;
            energy(a).total_cmp(&energy(b))
        });
        let number: Vec<usize> = group
            .iter()
            .map(|own| kept.iter().position(|k| k == own).unwrap_or(0))
            .collect();
        for way in &mut ways {
            way.between = way.between.map(|end| number[end]);
            let ends = way
                .between
                .map(|end| self.families[kept[end]].rest.energy_m4);
            way.energy_m4 = way.energy_m4.max(ends[0]).max(ends[1]);
        }
        ways.retain(|way| way.between[0] != way.between[1]);
        let points = spots
            .iter()
            .zip(basin)
            .map(|(spot, &family)| MapPoint {
                plane: spot.plane,
                energy_m4: spot.energy_m4,
                area_m2: spot.area_m2,
                attitude: number[family],
            })
            .collect();
        let attitudes: Vec<RestingAttitude> = kept
            .iter()
            .map(|&own| self.attitude(own, &group, joined[own]))
            .collect();
        SphereMap {
            passes: tree(ways.clone(), attitudes.len()),
            attitudes,
            kernel_calls: land.calls(),
            ways,
            points,
            frame: land.frame,
        }
    }

    /// The higher of two rests, m⁴.
    fn floor_m4(&self, ends: [usize; 2]) -> f64 {
        let [a, b] = ends.map(|end| self.families[end].spot.energy_m4);
        a.max(b)
    }

    /// A rise of less than this is none, m⁴.
    fn neutral_m4(&self) -> f64 {
        NEUTRAL * self.land.volume_m3 * self.land.size_m
    }

    /// The ways, with those over ridges that lie lower by more than a missed pass may.
    fn over_ridges(&self, mut ways: Vec<Pass>, ridges: &[Ridge], spots: &[Spot]) -> Vec<Pass> {
        for ridge in ridges {
            // Real spots all along: a way over that is no higher than this.
            let known = Ends::join(&ways, self.families.len()).highest(ridge.between);
            let floor = self.floor_m4(ridge.between);
            let missed = (MISSED * (known - floor)).max(self.neutral_m4());
            if ridge.energy_m4 < known - missed {
                let (energy_m4, plane) = ridge.looked_at(self.land, spots);
                if energy_m4 < known - missed {
                    ways.push(Pass {
                        between: ridge.between,
                        plane,
                        energy_m4: energy_m4.max(floor),
                        exact: false,
                    });
                }
            }
        }
        ways
    }

    /// For each rest the first of those that no rise parts from it, and whether there are
    /// others.
    fn neutral_groups(&self, ways: &[Pass]) -> (Vec<usize>, Vec<bool>) {
        let count = self.families.len();
        let mut group: Vec<usize> = (0..count).collect();
        let mut joined = vec![false; count];
        for way in ways {
            if way.energy_m4 - self.floor_m4(way.between) < self.neutral_m4() {
                let [a, b] = way.between.map(|end| group[end]);
                joined[a] = true;
                joined[b] = true;
                for member in &mut group {
                    if *member == a.max(b) {
                        *member = a.min(b);
                    }
                }
            }
        }
        (group, joined)
    }

    /// The rest that stands for its group, with the others beside it.
    fn attitude(&self, own: usize, group: &[usize], joined: bool) -> RestingAttitude {
        let mut beside: Vec<WaterPlane> = Vec::new();
        for (member, family) in self.families.iter().enumerate() {
            if group[member] == own {
                beside.extend(family.beside.iter().map(|spot| spot.plane));
                if member != own {
                    beside.push(*family.rest.plane());
                }
            }
        }
        let rest = self.families[own].rest.clone();
        RestingAttitude {
            neutral: joined || !beside.is_empty(),
            heel_range_deg: heel_range_deg(rest.plane(), &beside),
            rest,
            beside,
        }
    }
}

/// The lowest passes that join all rests, without a round trip.
fn tree(mut passes: Vec<Pass>, rests: usize) -> Vec<Pass> {
    passes.sort_by(|a, b| a.energy_m4.total_cmp(&b.energy_m4));
    let mut group: Vec<usize> = (0..rests).collect();
    passes.retain(|pass| {
        let [a, b] = pass.between.map(|rest| group[rest]);
        if a == b {
            return false;
        }
        for member in &mut group {
            if *member == b {
                *member = a;
            }
        }
        true
    });
    passes
}
