//! Spaces open to the sea: how the craft lies, what the water reaches next, and
//! what air cannot get out.
use std::sync::Arc;

use super::air::KeptAir;
use super::displacers::Displacers;
use super::energy::{Craft, space_of};
use super::rest::{EquilibriumError, Hold, Rest, find_rest, find_rest_from};
use super::settle::settle_if_afloat;
use crate::boat::{Boat, OpeningState, Verdict};
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

mod pools;

use pools::Pool;

/// Less air than this is not followed, m³: a tenth of a cupful.
const LEAST_AIR_M3: f64 = 1e-5;
/// How far above the water inside the top of a way may stand before air counts as
/// lost through it, m.
const LEVEL_WITHIN_M: f64 = 1e-7;
/// Rounds in which air goes and the craft settles anew at most: air only goes, and
/// each round takes what is over the top of the ways.
const MOST_ROUNDS: usize = 60;

/// What becomes of the air in spaces that the sea gets into.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AirIs {
    /// All of it gets out.
    Lost,
    /// What lies over the tops of a space's openings and passages stays, once they
    /// are all under water: the sea's or that of the rooms beside it.
    Kept,
}

/// The vertical's share along the boat's own z under which a craft that is
/// afloat lies over or stands on end (60°).
const UPRIGHT_SHARE: f64 = 0.5;

/// A boat whose spaces can be opened to the sea.
#[derive(Debug, Clone)]
pub struct OpenSea<'a> {
    boat: &'a Boat,
    craft: Craft,
    /// What water can fill of each compartment, by its number.
    rooms: Vec<Displacers>,
    /// Water loose in compartments that are not open.
    pools: Vec<Pool>,
    /// Whether that water runs through passages under it and over sills.
    runs: bool,
    /// Whether water goes from space to space.
    passages_open: bool,
}

/// Where water comes into a space from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// The opening of that number.
    Opening(usize),
    /// The passage of that number.
    Passage(usize),
}

/// Air that a space keeps.
#[derive(Debug, Clone, Copy)]
pub struct SpaceAir {
    /// Number of the compartment.
    pub space: usize,
    /// The air at its own pressure, m³.
    pub air_m3: f64,
    /// How far its water stands under the water that shuts it in, the sea's or that of the
    /// rooms beside it, m.
    pub under_outside_m: f64,
}

/// One state on the way of the water through the craft.
#[derive(Debug, Clone)]
pub struct FloodStep {
    /// Numbers of the compartments that are open to the sea.
    pub open: Vec<usize>,
    /// The craft at rest so; `None` where it sinks.
    pub rest: Option<Rest>,
    /// Spaces among them that keep air.
    pub air: Vec<SpaceAir>,
    /// Compartments that water reaches next, and through what.
    pub reached: Vec<(usize, Way)>,
}

/// How a flooded craft ends, as far as one end can be worse than another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outcome {
    /// Whether it floats.
    pub floats: bool,
    /// Whether it lies upright rather than over or on end.
    pub upright: bool,
    /// What the boat's yardsticks say of its lean and of that sill; `None` where it sinks.
    pub verdict: Option<Verdict>,
    /// What they say of its lean alone.
    pub lean: Option<Verdict>,
    /// Height of the lowest opening into a space that is still dry, m; `None` where
    /// there is none.
    pub sill_m: Option<f64>,
}

impl Outcome {
    /// Sinking is worst, then lying over, then what the yardsticks find worse, of both and
    /// then of the lean, then the lower sill. Without an opening into a space that is still
    /// dry no sill is left that could flood anything more: that is the better of two ends
    /// otherwise alike.
    #[must_use]
    pub fn is_worse_than(&self, other: &Self) -> bool {
        let rank = |end: &Self| {
            let sill_m = end.sill_m.unwrap_or(f64::INFINITY);
            (end.floats, end.upright, end.verdict, end.lean, sill_m)
        };
        rank(self) < rank(other)
    }
}

/// Whether a craft lies upright at a water plane rather than over or on end.
#[must_use]
pub fn is_upright(plane: &WaterPlane) -> bool {
    plane.up.z > UPRIGHT_SHARE
}

/// Air in spaces that keep it, m³ at the pressure of the atmosphere, and the spaces
/// that have let theirs go; and the water that is loose.
#[derive(Debug, Default)]
struct Airs {
    kept: Vec<(usize, f64)>,
    let_go: Vec<usize>,
    pools: Vec<Pool>,
}

/// Rooms with so much water each, by their number, as pools of one room.
fn apart(loose_m3: impl Iterator<Item = f64>) -> Vec<Pool> {
    let wet = loose_m3.enumerate().filter(|(_, volume)| *volume > 0.0);
    let pool = |(room, volume_m3)| Pool {
        rooms: vec![room],
        volume_m3,
    };
    wet.map(pool).collect()
}

impl<'a> OpenSea<'a> {
    /// A boat before anything is opened but what its file has flooded.
    #[must_use]
    pub fn of(boat: &'a Boat) -> Self {
        Self {
            boat,
            craft: Craft::without_fills(boat),
            rooms: boat.compartments.iter().map(space_of).collect(),
            pools: apart(
                boat.compartments.iter().map(
                    |space| {
                        if space.flooded { 0.0 } else { space.fill_m3 }
                    },
                ),
            ),
            runs: false,
            passages_open: true,
        }
    }

    /// The same with every permeability moved, by the number of the compartment.
    #[must_use]
    pub fn with_permeability(&self, moved: impl Fn(usize) -> f64) -> Self {
        let mut other = self.clone();
        for (number, room) in other.rooms.iter_mut().enumerate() {
            let tree = Arc::clone(&self.boat.compartments[number].tree());
            room.push(moved(number), tree);
        }
        other
    }

    /// The same with every passage between spaces stopped.
    #[must_use]
    pub fn with_bungs(&self) -> Self {
        Self {
            passages_open: false,
            ..self.clone()
        }
    }

    /// The same with this water loose in the compartments that are not open, by their
    /// number, m³: it runs through passages under it, and over sills.
    #[must_use]
    pub fn with_water(&self, loose_m3: &[f64]) -> Self {
        let spaces = self.boat.compartments.iter();
        let loose_m3 = spaces
            .zip(loose_m3)
            .map(|(space, volume)| if space.flooded { 0.0 } else { *volume });
        Self {
            pools: apart(loose_m3),
            runs: true,
            ..self.clone()
        }
    }

    /// The craft with spaces open to the sea and their air lost (lost buoyancy);
    /// what stands loose in them is the sea's.
    #[must_use]
    pub fn craft(&self, open: &[usize]) -> Craft {
        self.craft_with_air(open, &self.airs(open))
    }

    /// No air kept, and the water that is loose where the sea is not.
    fn airs(&self, open: &[usize]) -> Airs {
        let is_apart = |pool: &&Pool| pool.rooms.iter().all(|room| !open.contains(room));
        Airs {
            pools: self.pools.iter().filter(is_apart).cloned().collect(),
            ..Airs::default()
        }
    }

    fn craft_with_air(&self, open: &[usize], airs: &Airs) -> Craft {
        let mut craft = self.craft.clone();
        let pools = airs.pools.iter();
        craft
            .liquids
            .extend(pools.map(|pool| self.liquid(pool, &airs.kept)));
        for &space in open {
            match self.kept_air(space, &airs.kept) {
                Some(air) => craft.displacers.keep_air(air),
                None => craft.displacers.take_away(&self.rooms[space]),
            }
        }
        craft
    }

    fn kept_air(&self, space: usize, kept: &[(usize, f64)]) -> Option<KeptAir> {
        let (_, air_m3) = kept.iter().find(|(number, _)| *number == space)?;
        let atmosphere_m = self.boat.water.atmosphere_m();
        Some(KeptAir::new(
            self.rooms[space].clone(),
            *air_m3,
            atmosphere_m,
        ))
    }

    /// Follows the water from the spaces that are open first to the state in which it
    /// reaches no other. The first state is found upright, or from `near` where that
    /// is given; each later one from where the craft lies then. `dry` is the water
    /// plane before anything was opened: what air is caught under it stays, with
    /// [`AirIs::Kept`].
    ///
    /// Air is counted at the pressure of the atmosphere when the last of its ways goes
    /// under: as the room's volume over the highest point of all its openings and
    /// passages. Of a space without any the place of the hole is not known: it keeps
    /// none. Air that rises to the top of a way leaves by it, also into the next space,
    /// where it is taken as lost.
    ///
    /// # Errors
    /// As [`find_rest`], but sinking is a result.
    pub fn follow(
        &self,
        first: &[usize],
        near: Option<&WaterPlane>,
        dry: &WaterPlane,
        air: AirIs,
    ) -> Result<Vec<FloodStep>, EquilibriumError> {
        let mut open = first.to_vec();
        let mut airs = self.airs(first);
        let mut steps = Vec::new();
        let mut near = near.copied();
        let mut present = *dry;
        loop {
            if air == AirIs::Kept {
                self.catch(&open, &present, &mut airs);
            }
            let rest = self.settled(&open, near, air, &mut airs)?;
            let mut step = FloodStep {
                open: open.clone(),
                air: Vec::new(),
                reached: Vec::new(),
                rest,
            };
            let Some(rest) = &step.rest else {
                steps.push(step);
                return Ok(steps);
            };
            present = *rest.plane();
            near = Some(present);
            step.air = self.air_at(&open, &present, &airs);
            step.reached = self.reached(&open, &present);
            open.extend(step.reached.iter().map(|(space, _)| *space));
            self.leave_pools(&open, &present.up, &mut airs);
            let still = step.reached.is_empty();
            steps.push(step);
            if still {
                return Ok(steps);
            }
        }
    }

    /// The rest with these spaces open, air going and loose water running until what is
    /// left stays.
    fn settled(
        &self,
        open: &[usize],
        near: Option<WaterPlane>,
        air: AirIs,
        airs: &mut Airs,
    ) -> Result<Option<Rest>, EquilibriumError> {
        let mut near = near;
        let mut rounds = 0;
        loop {
            let craft = self.craft_with_air(open, airs);
            let Some(rest) = rest_of(&craft, near.as_ref())? else {
                return Ok(None);
            };
            rounds += 1;
            let mut moves = self.runs && self.run(open, rest.plane(), airs);
            if air == AirIs::Kept {
                moves |= self.let_go(open, rest.plane(), airs);
                moves |= self.catch(open, rest.plane(), airs);
                moves |= self.catch_in_pools(rest.plane(), airs);
            }
            if !moves || rounds >= MOST_ROUNDS {
                return Ok(Some(rest));
            }
            near = Some(*rest.plane());
        }
    }

    /// Catches the air of open spaces whose ways are all under; whether there was any.
    fn catch(&self, open: &[usize], plane: &WaterPlane, airs: &mut Airs) -> bool {
        let mut any = false;
        for &space in open {
            let known = airs.kept.iter().any(|(number, _)| *number == space);
            if known || airs.let_go.contains(&space) {
                continue;
            }
            let Some(top_m) = self.top_of_ways_m(space, &plane.up) else {
                continue;
            };
            if top_m >= plane.level_m {
                continue;
            }
            let air_m3 = self.over_m3(space, plane, top_m);
            if air_m3 > LEAST_AIR_M3 {
                airs.kept.push((space, air_m3));
                any = true;
            }
        }
        any
    }

    /// Catches the air of rooms that their pool shuts in; whether there was any.
    fn catch_in_pools(&self, plane: &WaterPlane, airs: &mut Airs) -> bool {
        let mut any = false;
        for room in self.shut_in(&plane.up, airs) {
            let top_m = self.top_of_ways_m(room, &plane.up);
            let air_m3 = top_m.map_or(0.0, |top_m| self.over_m3(room, plane, top_m));
            if air_m3 > LEAST_AIR_M3 && !airs.let_go.contains(&room) {
                airs.kept.push((room, air_m3));
                any = true;
            }
        }
        any
    }

    /// Lets air go that reaches the top of a way; whether any went.
    fn let_go(&self, open: &[usize], plane: &WaterPlane, airs: &mut Airs) -> bool {
        let atmosphere_m = self.boat.water.atmosphere_m();
        let mut any = false;
        let mut gone = Vec::new();
        for index in 0..airs.kept.len() {
            let (space, air_m3) = airs.kept[index];
            let Some(level_m) = self.outside_m(space, open, plane, airs) else {
                continue;
            };
            let top_m = self.top_of_ways_m(space, &plane.up);
            let Some(top_m) = top_m.filter(|top_m| *top_m < level_m) else {
                gone.push(space);
                continue;
            };
            let inside = KeptAir::new(self.rooms[space].clone(), air_m3, atmosphere_m);
            let outside = WaterPlane { level_m, ..*plane };
            if inside.at(&outside).water.plane.level_m >= top_m - LEVEL_WITHIN_M {
                continue;
            }
            // What is left stands at the pressure of the water at the top of the way.
            let pressure = 1.0 + (level_m - top_m) / atmosphere_m;
            let left_m3 = self.over_m3(space, plane, top_m) * pressure;
            if left_m3 > LEAST_AIR_M3 {
                airs.kept[index].1 = left_m3.min(air_m3);
                any |= left_m3 < air_m3;
            } else {
                gone.push(space);
            }
        }
        airs.kept.retain(|(space, _)| !gone.contains(space));
        any |= !gone.is_empty();
        airs.let_go.extend(gone);
        any
    }

    fn air_at(&self, open: &[usize], plane: &WaterPlane, airs: &Airs) -> Vec<SpaceAir> {
        let told = airs.kept.iter().filter_map(|(space, _)| {
            let level_m = self.outside_m(*space, open, plane, airs)?;
            let outside = WaterPlane { level_m, ..*plane };
            let at = self.kept_air(*space, &airs.kept)?.at(&outside);
            Some(SpaceAir {
                space: *space,
                air_m3: at.air_m3,
                under_outside_m: level_m - at.water.plane.level_m,
            })
        });
        told.collect()
    }

    /// Room for water in a space over a height along the vertical, m³.
    fn over_m3(&self, space: usize, plane: &WaterPlane, height_m: f64) -> f64 {
        let room = &self.rooms[space];
        let under = room.immerse(&WaterPlane {
            up: plane.up,
            level_m: height_m,
        });
        room.volume_m3() - under.volume_m3
    }

    /// The highest point of all ways into a space along the vertical, m; `None`
    /// without any.
    fn top_of_ways_m(&self, space: usize, up: &Vec3) -> Option<f64> {
        let openings = self.boat.openings.iter();
        let openings = openings.filter(|opening| opening.lets_water_in());
        let openings = openings.flat_map(|opening| opening.way_into(space));
        let passages = self.boat.passages.iter();
        let passages = passages
            .filter(|passage| self.passages_open && passage.between.contains(&space))
            .flat_map(|passage| &passage.rim);
        openings
            .chain(passages)
            .map(|point| up.dot(point))
            .reduce(f64::max)
    }

    /// How a state compares.
    #[must_use]
    pub fn outcome(&self, step: &FloodStep) -> Outcome {
        let plane = step.rest.as_ref().map(|rest| *rest.plane());
        self.outcome_at(&step.open, plane.as_ref())
    }

    /// The same of a craft at a water plane; `None` where it sinks.
    #[must_use]
    pub fn outcome_at(&self, open: &[usize], plane: Option<&WaterPlane>) -> Outcome {
        let lowest = plane.and_then(|plane| self.lowest_dry(open, plane));
        let sill_m = lowest.map(|(_, height_m)| height_m);
        // Of a craft wholly swamped, of the rim.
        let rims = plane.into_iter().flat_map(|plane| self.sills_m(plane));
        let rim_m = rims.map(|(_, height_m)| height_m).min_by(f64::total_cmp);
        let lean_deg = plane.map(WaterPlane::lean_deg);
        Outcome {
            floats: plane.is_some(),
            upright: plane.is_some_and(is_upright),
            verdict: self.boat.yardsticks.swamped(lean_deg, sill_m.or(rim_m)),
            lean: self.boat.yardsticks.swamped(lean_deg, None),
            sill_m,
        }
    }

    /// Every opening that lets water in, drains but for, and the height of its sill over the
    /// water, m.
    pub fn sills_m(&self, plane: &WaterPlane) -> impl Iterator<Item = (&str, f64)> {
        let openings = self.boat.openings.iter();
        openings
            .filter(|o| o.lets_water_in() && o.state != OpeningState::Drain)
            .map(|o| (o.name.as_str(), plane.height_m(&o.sill_m(&plane.up))))
    }

    /// The lowest opening into a space that is neither sealed nor open, by its number,
    /// and its height above the water, m.
    #[must_use]
    pub fn lowest_dry(&self, open: &[usize], plane: &WaterPlane) -> Option<(usize, f64)> {
        let is_dry =
            |space: usize| !self.boat.compartments[space].flooded && !open.contains(&space);
        let openings = self.boat.openings.iter().enumerate();
        openings
            .filter(|(_, opening)| {
                opening.lets_water_in() && opening.spaces().any(|(space, _)| is_dry(space))
            })
            .flat_map(|(number, opening)| {
                let dry = opening.spaces().filter(|(space, _)| is_dry(*space));
                let points = dry.flat_map(|(space, _)| opening.way_into(space));
                points.map(move |point| (number, plane.height_m(point)))
            })
            .min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// All spaces that are one with the sea at a water plane.
    #[must_use]
    pub fn joined(&self, plane: &WaterPlane) -> Vec<usize> {
        let mut open = Vec::new();
        loop {
            let next = self.reached(&open, plane);
            if next.is_empty() {
                return open;
            }
            open.extend(next.into_iter().map(|(space, _)| space));
        }
    }

    /// Dry spaces that water gets into at a water plane: through an opening under
    /// water, or a passage under water from a space that is open.
    #[must_use]
    pub fn reached(&self, open: &[usize], plane: &WaterPlane) -> Vec<(usize, Way)> {
        let spaces = &self.boat.compartments;
        let is_dry = |space: usize| {
            let space_is = &spaces[space];
            !space_is.sealed && !space_is.flooded && !open.contains(&space)
        };
        let is_wet = |point: &Vec3| plane.height_m(point) < 0.0;
        let openings = self.boat.openings.iter().enumerate();
        let by_opening = openings
            .filter(|(_, opening)| opening.lets_water_in())
            .flat_map(|(number, opening)| {
                let spaces = opening.spaces().map(|(space, _)| space);
                let wet = spaces.filter(|space| opening.way_into(*space).any(is_wet));
                wet.map(move |space| (space, Way::Opening(number)))
            });
        let passages = self.boat.passages.iter().enumerate();
        let by_passage = passages
            .filter(|(_, passage)| self.passages_open && passage.rim.iter().any(is_wet))
            .filter_map(|(number, passage)| {
                let [one, other] = passage.between;
                let way = Way::Passage(number);
                match (is_dry(one), is_dry(other)) {
                    (false, true) => Some((other, way)),
                    (true, false) => Some((one, way)),
                    _ => None,
                }
            });
        let mut found: Vec<(usize, Way)> = Vec::new();
        for (space, way) in by_opening.chain(by_passage) {
            if is_dry(space) && found.iter().all(|(known, _)| *known != space) {
                found.push((space, way));
            }
        }
        found
    }
}

/// Where a craft lies, upright or from near a plane; `None` where it sinks.
fn rest_of(craft: &Craft, near: Option<&WaterPlane>) -> Result<Option<Rest>, EquilibriumError> {
    let Some(plane) = near else {
        return Ok(settle_if_afloat(craft)?.map(|settled| settled.rest));
    };
    if craft.volume_to_displace_m3() >= craft.displacers.volume_m3() {
        return Ok(None);
    }
    let found = match find_rest_from(craft, plane, Hold::Nothing) {
        // Too far from there: the level is sought anew.
        Err(EquilibriumError::NotConverged { .. }) => find_rest(craft, &plane.up, Hold::Nothing),
        other => other,
    };
    match found {
        Ok(rest) => Ok(Some(rest)),
        Err(EquilibriumError::Sinks { .. }) => Ok(None),
        Err(other) => Err(other),
    }
}
