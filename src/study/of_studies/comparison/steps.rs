//! The way from the first boat to the last, change by change: each alone on the
//! first boat, and one after the other in the order written.
use std::cmp::Ordering;

use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use super::spaces::{SpaceEnd, against, space_ends};
use super::states::Studied;
use super::{TOLD_DEG, TOLD_J, TOLD_M, more_or_less, no_rounding};
use crate::boat::{Boat, BoatError, BoatFile, Change, changes, with_change};
use crate::equilibrium::{Afloat, EquilibriumError};
use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3};
use crate::progress::{Cancelled, Stage};
use crate::study::shared::attitude::Lies;

/// Two boat files, and how a boat is made of one.
#[derive(Clone, Copy)]
pub struct Way<'a> {
    /// The first boat.
    pub before: &'a BoatFile,
    /// The last boat.
    pub after: &'a BoatFile,
    /// Makes a boat of a file; it may read meshes.
    pub make: &'a (dyn Fn(&BoatFile) -> Result<Boat, BoatError> + Sync),
}

/// What each change does.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Steps {
    /// Every change, in the order written.
    pub lines: Vec<StepLine>,
    /// Sum of what the changes do alone; `None` where one of them cannot be
    /// floated alone.
    pub sum_of_single: Option<StepEffect>,
    /// What they do together.
    pub whole: Option<StepEffect>,
}

/// One change.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct StepLine {
    /// What is changed.
    #[serde(flatten)]
    pub change: Change,
    /// The same in words.
    pub words: String,
    /// What it does as the only change to the first boat.
    pub alone: Option<StepEffect>,
    /// What it does after all changes before it.
    pub in_order: Option<StepEffect>,
    /// The craft after it, in that order.
    pub then: Option<StepState>,
    /// Whether it helps, in that order; absent where the craft sinks before and
    /// after.
    pub judgement: Option<Judgement>,
    /// Whether it helps alone.
    pub judgement_alone: Option<Judgement>,
    /// Whether the first boat sinks with this change alone.
    pub sinks_alone: bool,
    /// Whether it capsizes with this change alone.
    pub capsizes_alone: bool,
    /// Why it cannot be floated alone or in its order.
    pub cannot: Vec<String>,
}

/// A craft between two changes.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct StepState {
    /// Whether it floats.
    pub floats: bool,
    /// Whether it comes to rest on its side, on end or bottom up.
    pub capsizes: bool,
    /// Mass of everything aboard, kg.
    pub mass_kg: f64,
    /// Depth of the middle of the first boat's hull, at its lowest point's
    /// height, under the water, m.
    pub depth_m: Option<f64>,
    /// Heel, starboard down positive, deg.
    pub heel_deg: Option<f64>,
    /// Pitch, bow up positive, deg.
    pub pitch_deg: Option<f64>,
    /// Height of the lowest sill above the water, m.
    pub lowest_sill_m: Option<f64>,
    /// Whose sill that is.
    pub lowest_sill: Option<String>,
    /// Smallest lean that puts a sill under, deg.
    pub worst_lean_deg: Option<f64>,
    /// Least knock that does, J.
    pub least_knock_j: Option<f64>,
    /// How it ends with each compartment open to the sea alone.
    pub flooded: Vec<SpaceEnd>,
}

/// One craft less another.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct StepEffect {
    /// Mass, kg.
    pub mass_kg: f64,
    /// How much deeper the middle of the hull lies, m.
    pub sinkage_m: Option<f64>,
    /// Heel, deg.
    pub heel_deg: Option<f64>,
    /// Pitch, deg.
    pub pitch_deg: Option<f64>,
    /// Height of the lowest sill above the water, m.
    pub lowest_sill_m: Option<f64>,
    /// Smallest lean that floods, deg.
    pub worst_lean_deg: Option<f64>,
    /// Least knock that floods, J.
    pub least_knock_j: Option<f64>,
}

/// What a change does to the lowest sill, the smallest lean, the least knock, and how the
/// craft ends with a compartment flooded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Judgement {
    /// At least one is better, none is worse.
    Helps,
    /// At least one is worse, none is better.
    Hurts,
    /// Some are better, some are worse.
    BothWays,
    /// None changes by what could be measured.
    Nothing,
}

impl StepEffect {
    fn between(after: &StepState, before: &StepState) -> Self {
        let of =
            |pick: fn(&StepState) -> Option<f64>| Some(no_rounding(pick(after)?, pick(before)?));
        Self {
            mass_kg: no_rounding(after.mass_kg, before.mass_kg),
            sinkage_m: of(|state| state.depth_m),
            heel_deg: of(|state| state.heel_deg),
            pitch_deg: of(|state| state.pitch_deg),
            lowest_sill_m: of(|state| state.lowest_sill_m),
            worst_lean_deg: of(|state| state.worst_lean_deg),
            least_knock_j: of(|state| state.least_knock_j),
        }
    }

    fn plus(self, more: &Self) -> Self {
        let of = |a: Option<f64>, b: Option<f64>| Some(a? + b?);
        Self {
            mass_kg: self.mass_kg + more.mass_kg,
            sinkage_m: of(self.sinkage_m, more.sinkage_m),
            heel_deg: of(self.heel_deg, more.heel_deg),
            pitch_deg: of(self.pitch_deg, more.pitch_deg),
            lowest_sill_m: of(self.lowest_sill_m, more.lowest_sill_m),
            worst_lean_deg: of(self.worst_lean_deg, more.worst_lean_deg),
            least_knock_j: of(self.least_knock_j, more.least_knock_j),
        }
    }

    const NONE: Self = Self {
        mass_kg: 0.0,
        sinkage_m: Some(0.0),
        heel_deg: Some(0.0),
        pitch_deg: Some(0.0),
        lowest_sill_m: Some(0.0),
        worst_lean_deg: Some(0.0),
        least_knock_j: Some(0.0),
    };
}

/// Whether the change from one state to another helps; `None` where both sink.
/// To sink is worse than anything, then to capsize; a sill, lean or knock that appears is worse
/// than none.
fn judged(after: &StepState, before: &StepState) -> Option<Judgement> {
    let stays = |state: &StepState| (state.floats, !state.capsizes);
    match stays(after).cmp(&stays(before)) {
        Ordering::Less => return Some(Judgement::Hurts),
        Ordering::Greater => return Some(Judgement::Helps),
        Ordering::Equal if !after.floats => return None,
        Ordering::Equal => {}
    }
    let mut signs = vec![
        more_or_less(before.lowest_sill_m, after.lowest_sill_m, TOLD_M),
        more_or_less(before.worst_lean_deg, after.worst_lean_deg, TOLD_DEG),
        more_or_less(before.least_knock_j, after.least_knock_j, TOLD_J),
    ];
    signs.extend(against(&after.flooded, &before.flooded));
    let any = |sign: i8| signs.contains(&sign);
    Some(match (any(1), any(-1)) {
        (true, true) => Judgement::BothWays,
        (true, false) => Judgement::Helps,
        (false, true) => Judgement::Hurts,
        (false, false) => Judgement::Nothing,
    })
}

impl Steps {
    /// The change that takes most off the lowest sill in its order, and how much,
    /// m; `None` where none takes what a tape could tell.
    #[must_use]
    pub fn dearest(&self) -> Option<(&StepLine, f64)> {
        let lost = |line: &StepLine| Some(-line.in_order?.lowest_sill_m?);
        let lines = self.lines.iter();
        lines
            .filter_map(|line| Some((line, lost(line)?)))
            .filter(|(_, lost_m)| *lost_m >= TOLD_M)
            .max_by(|a, b| a.1.total_cmp(&b.1))
    }
}

/// What each change of a way does.
pub(super) fn steps(
    way: &Way<'_>,
    first: &Studied<'_>,
    last: &Studied<'_>,
) -> Result<Steps, EquilibriumError> {
    let middle = middle_of_base(first.afloat.boat());
    let at_end = |end: &Studied<'_>| state(&end.afloat, &middle, end.spaces.clone(), &[]);
    let start = at_end(first)?;
    let whole = StepEffect::between(&at_end(last)?, &start);
    let changes = changes(way.before, way.after);
    let floated = each_floated(way, &changes, [first, last])?;
    let lines = lines(changes, floated, &start);
    let mut alone = lines.iter().map(|line| line.alone);
    Ok(Steps {
        sum_of_single: alone.try_fold(StepEffect::NONE, |sum, alone| Some(sum.plus(&alone?))),
        lines,
        whole: Some(whole),
    })
}

/// The place under which sinkage is told: midway between the hull's ends.
fn middle_of_base(boat: &Boat) -> Vec3 {
    let (lo, hi) = boat.hull_box_m;
    Vec3::new(f64::midpoint(lo.x, hi.x), 0.0, boat.marks.base_z_m)
}

/// How a craft floats with a change, or why it does not.
type Floated = Result<StepState, String>;

/// Each change made alone on the first boat, and after those before it.
fn each_floated(
    way: &Way<'_>,
    changes: &[Change],
    [first, last]: [&Studied<'_>; 2],
) -> Result<Vec<[Floated; 2]>, Cancelled> {
    let middle = middle_of_base(first.afloat.boat());
    let ends = [&last.afloat, &first.afloat];
    let found = |file: &BoatFile| -> Floated {
        let boat = (way.make)(file).map_err(|error| error.to_string())?;
        let afloat = Afloat::of(&boat);
        let spaces = || space_ends(&afloat);
        let state = afloat.settled_if_afloat().and_then(|at| {
            let spaces = at.map_or_else(|| Ok(Vec::new()), |_| spaces())?;
            state(&afloat, &middle, spaces, &ends)
        });
        state.map_err(|error| error.to_string())
    };
    let stage = Stage::begin(last.afloat.watch(), "making each change", changes.len());
    let mut so_far = Vec::new();
    let mut file = way.before.clone();
    for change in changes {
        file = with_change(&file, change, way.after);
        so_far.push(file.clone());
    }
    let each = changes.par_iter().zip(&so_far).enumerate();
    each.map(|(number, (change, so_far))| {
        stage.next()?;
        let alone = found(&with_change(way.before, change, way.after));
        // The first change is alone in both ways.
        let then = if number == 0 {
            alone.clone()
        } else {
            found(so_far)
        };
        Ok([alone, then])
    })
    .collect()
}

/// What each change does, from how the craft floats with it.
fn lines(changes: Vec<Change>, floated: Vec<[Floated; 2]>, start: &StepState) -> Vec<StepLine> {
    let mut last_good = start.clone();
    let mut unbuilt: Vec<String> = Vec::new();
    let mut lines = Vec::new();
    for (change, [alone, then]) in changes.into_iter().zip(floated) {
        let mut cannot = Vec::new();
        if let Err(why) = &alone {
            cannot.push(format!("alone: {why}"));
        }
        let mut in_order = None;
        let mut judgement = None;
        match &then {
            Ok(then) => {
                if !unbuilt.is_empty() {
                    cannot.push(format!(
                        "what it does in its order is told together with: {}",
                        unbuilt.join(", ")
                    ));
                    unbuilt.clear();
                }
                in_order = Some(StepEffect::between(then, &last_good));
                judgement = judged(then, &last_good);
                last_good = then.clone();
            }
            Err(why) => {
                cannot.push(format!("in its order: {why}"));
                unbuilt.push(change.in_words());
            }
        }
        let alone = alone.as_ref().ok();
        lines.push(StepLine {
            words: change.in_words(),
            change,
            judgement_alone: alone.and_then(|alone| judged(alone, start)),
            sinks_alone: alone.is_some_and(|alone| !alone.floats),
            capsizes_alone: alone.is_some_and(|alone| alone.capsizes),
            alone: alone.map(|alone| StepEffect::between(alone, start)),
            judgement,
            in_order,
            then: then.ok(),
            cannot,
        });
    }
    lines
}

/// How a craft floats and what floods it, in a few numbers.
fn state(
    afloat: &Afloat<'_>,
    middle: &Vec3,
    flooded: Vec<SpaceEnd>,
    near: &[&Afloat<'_>],
) -> Result<StepState, EquilibriumError> {
    let (boat, craft) = (afloat.boat(), afloat.craft());
    let mut state = StepState {
        floats: false,
        capsizes: false,
        mass_kg: craft.total_mass_kg(),
        depth_m: None,
        heel_deg: None,
        pitch_deg: None,
        lowest_sill_m: None,
        lowest_sill: None,
        worst_lean_deg: None,
        least_knock_j: None,
        flooded: Vec::new(),
    };
    let Some(settled) = afloat.settled_if_afloat()? else {
        return Ok(state);
    };
    let plane = settled.rest.plane();
    let joules = craft.density_kg_m3 * STANDARD_GRAVITY_M_S2;
    let lowest = afloat.sills().lowest(plane);
    state.floats = true;
    state.capsizes = Lies::at(&plane.up).is_capsized();
    state.depth_m = Some(-plane.height_m(middle));
    state.heel_deg = Some(plane.heel_deg());
    state.pitch_deg = Some(plane.pitch_deg());
    state.lowest_sill_m = lowest.as_ref().map(|sill| sill.height_m);
    state.lowest_sill = lowest.map(|sill| boat.openings[sill.opening].name.clone());
    let least = afloat.least_lean()?;
    state.worst_lean_deg = least.map(|(_, found)| found.lean_rad.to_degrees());
    let least = afloat.least_knock_m4(near)?;
    state.least_knock_j = least.map(|work_m4| work_m4 * joules);
    state.flooded = flooded;
    Ok(state)
}
