//! Leaning a craft straight over every way, until a sill is awash or it goes over.
use rayon::prelude::*;

use super::energy::Craft;
use super::lean::{ANGLE_WITHIN_RAD, ARM_WITHIN_M, Lean, Leaned, STEP_RAD, lean_to, neutral_m4};
use super::lean_near::through_sill;
use super::rest::{EquilibriumError, Rest};
use super::sills::{Sill, Sills};
use crate::numerics::{first_below, is_less};

/// How near to the water the sill is brought, m: a thousandth of a micrometre.
const HEIGHT_WITHIN_M: f64 = 1e-9;
/// Halvings of the first step in which a rise of the energy is looked for: to 0.3°.
const RISE_HALVINGS: u32 = 4;

/// How far and with how much work a craft is leaned until the first sill is
/// awash.
#[derive(Debug, Clone)]
pub struct TiltToFlood {
    /// The lean, rad.
    pub lean_rad: f64,
    /// Greatest energy on the way over that at rest, m⁴ (times density and
    /// gravity: joules). Where the craft goes over by itself before the sill is
    /// awash, that is the energy at the top of the way.
    pub work_m4: f64,
    /// Whether it goes over by itself before the sill is awash: the righting
    /// arm turned negative on the way.
    pub capsizes_first: bool,
    /// The sill that is awash.
    pub sill: Sill,
    /// The craft there.
    pub leaned: Leaned,
    /// Kernel calls taken.
    pub kernel_calls: usize,
}

/// Where a craft that leans straight goes over by itself.
///
/// It is the first top of the energy on the way, only sinkage free, past which the craft
/// does not balance again with the same side up: there the righting arm of the straight
/// lean vanishes, and past it the craft leans on without a push. To fall from one loll
/// into the other is not to go over, nor is to roll on where the craft is neutral, like a
/// log.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GoesOver {
    /// The lean there, rad.
    pub lean_rad: f64,
    /// Energy there over that at rest, m⁴ (times density and gravity: joules).
    pub work_m4: f64,
}

/// What comes of leaning a craft straight towards one bearing.
#[derive(Debug, Clone)]
pub struct LeanedOver {
    /// Where the first sill is awash; `None` where none is up to half a turn.
    pub flood: Option<TiltToFlood>,
    /// Where the craft goes over by itself, if it does so before that.
    pub over: Option<GoesOver>,
}

impl LeanedOver {
    /// The lean at which either comes first, rad.
    #[must_use]
    pub fn first_rad(&self) -> Option<f64> {
        let flood = self.flood.as_ref().map(|flood| flood.lean_rad);
        self.over.map(|over| over.lean_rad).or(flood)
    }
}

/// Share of the volume displaced by which a sill may still be clear and counts as under
/// while bearings are sorted out: what counts so is leaned exactly.
const AWASH_WITHIN: f64 = 1e-6;

/// Bearings of the rose: every 5°.
pub const BEARINGS: u16 = 72;

/// Leans a craft straight from rest towards each of [`BEARINGS`]: the bearing, deg, and
/// what [`lean_over`] finds there.
pub fn rose<'a>(
    craft: &'a Craft,
    sills: &'a Sills,
    rest: &'a Rest,
) -> impl IndexedParallelIterator<Item = (f64, Result<LeanedOver, EquilibriumError>)> + 'a {
    (0..usize::from(BEARINGS)).into_par_iter().map(|number| {
        let bearing_deg = bearing_deg(number);
        (bearing_deg, lean_over(craft, sills, rest, bearing_deg))
    })
}

/// Of so many bearings of the rose one is leaned first, to the end; of the others only
/// those are that show something before the least of them.
const LEANED_FIRST: usize = 9;

/// The least lean of the rose that floods, and the least at which the craft goes over by
/// itself where that is no more, each with its bearing, deg.
#[derive(Debug, Clone, Default)]
pub struct LeastLeans {
    /// The least lean that brings a sill to the water.
    pub flood: Option<(f64, TiltToFlood)>,
    /// The least at which it goes over.
    pub over: Option<(f64, GoesOver)>,
}

impl LeastLeans {
    /// Of bearings and what was found there, in their order.
    pub(super) fn of(found: impl Iterator<Item = (f64, LeanedOver)>) -> Self {
        let mut least = Self::default();
        for (bearing_deg, leaned) in found {
            if let Some(over) = leaned.over
                && least
                    .over
                    .is_none_or(|(_, known)| is_less(over.lean_rad, known.lean_rad))
            {
                least.over = Some((bearing_deg, over));
            }
            if let Some(flood) = leaned.flood
                && least
                    .flood
                    .as_ref()
                    .is_none_or(|(_, known)| is_less(flood.lean_rad, known.lean_rad))
            {
                least.flood = Some((bearing_deg, flood));
            }
        }
        // Past the lean that floods only some bearings were looked at.
        let floods_rad = least.flood.as_ref().map(|(_, flood)| flood.lean_rad);
        least.over = least
            .over
            .filter(|(_, over)| floods_rad.is_none_or(|floods| over.lean_rad <= floods));
        least
    }

    /// The lean at which either comes first, rad.
    #[must_use]
    pub fn first_rad(&self) -> Option<f64> {
        let flood = self.flood.as_ref().map(|(_, flood)| flood.lean_rad);
        let over = self.over.map(|(_, over)| over.lean_rad);
        flood.into_iter().chain(over).reduce(f64::min)
    }
}

/// The least leans of the [`rose`], the least first bearing where several are alike.
///
/// # Errors
/// As [`find_rest_from`](super::find_rest_from).
pub fn least_leans(
    craft: &Craft,
    sills: &Sills,
    rest: &Rest,
) -> Result<LeastLeans, EquilibriumError> {
    least(craft, sills, rest, Sought::Both)
}

/// What a lean is to find: where it goes over by itself takes further leans.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Sought {
    Flood,
    Both,
}

fn least(
    craft: &Craft,
    sills: &Sills,
    rest: &Rest,
    sought: Sought,
) -> Result<LeastLeans, EquilibriumError> {
    let count = usize::from(BEARINGS);
    let mut found = (0..count)
        .step_by(LEANED_FIRST)
        .collect::<Vec<_>>()
        .into_par_iter()
        .map(|number| {
            let leaned = leaned_over(craft, sills, rest, bearing_deg(number), sought)?;
            Ok((number, leaned))
        })
        .collect::<Result<Vec<_>, EquilibriumError>>()?;
    let floods = found.iter().filter_map(|(_, leaned)| leaned.flood.as_ref());
    let least_flood_rad = floods.map(|flood| flood.lean_rad).reduce(f64::min);
    let firsts = found.iter().filter_map(|(_, leaned)| leaned.first_rad());
    // What is not known to flood is leaned as far as something is known to happen.
    let up_to_rad = if sills.is_empty() {
        firsts.reduce(f64::min)
    } else {
        least_flood_rad
    };
    let others: Vec<usize> = (0..count)
        .filter(|number| number % LEANED_FIRST != 0)
        .collect();
    let more = others
        .into_par_iter()
        .map(|number| {
            let bearing_deg = bearing_deg(number);
            let leaned = match up_to_rad {
                Some(up_to) => lean_up_to(craft, sills, rest, bearing_deg, up_to, sought)?,
                None => leaned_over(craft, sills, rest, bearing_deg, sought)?,
            };
            Ok((number, leaned))
        })
        .collect::<Result<Vec<_>, EquilibriumError>>()?;
    found.extend(more);
    found.sort_by_key(|(number, _)| *number);
    let found = found.into_iter();
    Ok(LeastLeans::of(
        found.map(|(number, leaned)| (bearing_deg(number), leaned)),
    ))
}

/// The least lean of the [`rose`] that floods, with its bearing, deg.
///
/// # Errors
/// As [`find_rest_from`](super::find_rest_from).
pub fn least_lean(
    craft: &Craft,
    sills: &Sills,
    rest: &Rest,
) -> Result<Option<(f64, TiltToFlood)>, EquilibriumError> {
    if sills.is_empty() {
        return Ok(None);
    }
    Ok(least(craft, sills, rest, Sought::Flood)?.flood)
}

/// A bearing of the rose by its number, deg.
#[must_use]
pub fn bearing_deg(number: usize) -> f64 {
    360.0 * number as f64 / f64::from(BEARINGS)
}

/// Leans a craft in the steps of [`lean_over`] up to a lean; only where a sill is under
/// in one of them the lean that floods is found.
fn lean_up_to(
    craft: &Craft,
    sills: &Sills,
    rest: &Rest,
    bearing_deg: f64,
    up_to_rad: f64,
    sought: Sought,
) -> Result<LeanedOver, EquilibriumError> {
    let lean = Lean::towards(rest.plane(), bearing_deg);
    let is_wet = |rest: &Rest| sills.height_m(rest.plane()) <= HEIGHT_WITHIN_M;
    let floods = || leaned_over(craft, sills, rest, bearing_deg, sought);
    if is_wet(rest) || sought == Sought::Flood && floods_up_to(craft, sills, &lean, up_to_rad) {
        return floods();
    }
    if sought == Sought::Flood {
        return Ok(LeanedOver {
            flood: None,
            over: None,
        });
    }
    let mut way = vec![Leaned::new(craft, &lean, 0.0, rest.clone())];
    let mut lean_rad = 0.0;
    while lean_rad < up_to_rad {
        lean_rad = next_step(lean_rad, up_to_rad);
        let leaned = lean_to(craft, &lean, lean_rad, &way[way.len() - 1].rest)?;
        if is_wet(&leaned.rest) {
            return floods();
        }
        way.push(leaned);
    }
    let tops = tops(craft, &lean, &way)?;
    Ok(LeanedOver {
        flood: None,
        over: goes_over(craft, &lean, &tops, rest)?,
    })
}

/// Whether the lowest sill is under, or as good as, at a step of a lean: where the volume
/// under the plane through it is no more than the volume displaced.
fn floods_up_to(craft: &Craft, sills: &Sills, lean: &Lean, up_to_rad: f64) -> bool {
    let awash_m3 = craft.volume_to_displace_m3() * (1.0 + AWASH_WITHIN);
    let mut lean_rad = 0.0;
    while lean_rad < up_to_rad {
        lean_rad = next_step(lean_rad, up_to_rad);
        let plane = through_sill(sills, lean.up_at(lean_rad, 0.0));
        if craft.displacers.immerse(&plane).volume_m3 <= awash_m3 {
            return true;
        }
    }
    false
}

fn next_step(lean_rad: f64, up_to_rad: f64) -> f64 {
    (lean_rad + STEP_RAD).min(up_to_rad)
}

/// Leans a craft straight from rest, displacement held, until the first sill is
/// awash. `None` where none is up to half a turn.
///
/// # Errors
/// As [`find_rest_from`](super::find_rest_from).
pub fn tilt_to_flood(
    craft: &Craft,
    sills: &Sills,
    rest: &Rest,
    bearing_deg: f64,
) -> Result<Option<TiltToFlood>, EquilibriumError> {
    Ok(leaned_over(craft, sills, rest, bearing_deg, Sought::Flood)?.flood)
}

/// Leans a craft straight from rest, displacement held, until the first sill is awash
/// or it has come to half a turn, and finds where it goes over by itself on the way.
///
/// # Errors
/// As [`find_rest_from`](super::find_rest_from).
pub fn lean_over(
    craft: &Craft,
    sills: &Sills,
    rest: &Rest,
    bearing_deg: f64,
) -> Result<LeanedOver, EquilibriumError> {
    leaned_over(craft, sills, rest, bearing_deg, Sought::Both)
}

fn leaned_over(
    craft: &Craft,
    sills: &Sills,
    rest: &Rest,
    bearing_deg: f64,
    sought: Sought,
) -> Result<LeanedOver, EquilibriumError> {
    let lean = Lean::towards(rest.plane(), bearing_deg);
    let start = Leaned::new(craft, &lean, 0.0, rest.clone());
    let mut calls = 0;
    let mut way: Vec<Leaned> = vec![start.clone()];
    let found = first_below(
        (sills.height_m(rest.plane()), start),
        [STEP_RAD, std::f64::consts::PI],
        [ANGLE_WITHIN_RAD, HEIGHT_WITHIN_M],
        |lean_rad, near: &Leaned| {
            let leaned = lean_to(craft, &lean, lean_rad, &near.rest)?;
            calls += leaned.rest.kernel_calls;
            way.push(leaned.clone());
            Ok::<_, EquilibriumError>((sills.height_m(leaned.rest.plane()), leaned))
        },
    )?;
    let at_end = found.and_then(|found| {
        let sill = sills.lowest(found.state.rest.plane())?;
        Some((found.state, sill))
    });
    if let Some((leaned, _)) = &at_end {
        way.retain(|at| at.lean_rad <= leaned.lean_rad);
    }
    way.sort_by(|a, b| a.lean_rad.total_cmp(&b.lean_rad));
    let tops = tops(craft, &lean, &way)?;
    calls += tops.iter().map(|top| top.rest.kernel_calls).sum::<usize>();
    let flood = at_end.map(|(leaned, sill)| {
        let energies = way.iter().chain(&tops).map(|at| at.rest.energy_m4);
        TiltToFlood {
            lean_rad: leaned.lean_rad,
            work_m4: energies.fold(rest.energy_m4, f64::max) - rest.energy_m4,
            capsizes_first: !tops.is_empty(),
            sill,
            leaned,
            kernel_calls: calls,
        }
    });
    let over = match sought {
        Sought::Flood => None,
        Sought::Both => goes_over(craft, &lean, &tops, rest)?,
    };
    Ok(LeanedOver { flood, over })
}

/// The first top that the craft does not come over with the same side up.
fn goes_over(
    craft: &Craft,
    lean: &Lean,
    tops: &[Leaned],
    rest: &Rest,
) -> Result<Option<GoesOver>, EquilibriumError> {
    let side_up = |rest: &Rest| {
        let up = rest.plane().up;
        let axis = up.iamax();
        (axis, up[axis] > 0.0)
    };
    for (number, top) in tops.iter().enumerate() {
        let mut here = top.clone();
        while here.lean_rad < std::f64::consts::PI {
            let lean_rad = (here.lean_rad + STEP_RAD).min(std::f64::consts::PI);
            here = lean_to(craft, lean, lean_rad, &here.rest)?;
            if here.arm_m >= 0.0 {
                break;
            }
        }
        if side_up(&here.rest) != side_up(rest) {
            let energies = tops[..=number].iter().map(|top| top.rest.energy_m4);
            return Ok(Some(GoesOver {
                lean_rad: top.lean_rad,
                work_m4: energies.fold(rest.energy_m4, f64::max) - rest.energy_m4,
            }));
        }
    }
    Ok(None)
}

/// The tops of the energy along a straight lean, from places along it: where the righting
/// arm falls from positive to negative. Those that stand no higher over where the way
/// begins than what counts as neutral are none.
fn tops(craft: &Craft, lean: &Lean, way: &[Leaned]) -> Result<Vec<Leaned>, EquilibriumError> {
    let mut tops = Vec::new();
    let neutral_m4 = neutral_m4(craft);
    let Some(start) = way.first() else {
        return Ok(tops);
    };
    for (number, pair) in way.windows(2).enumerate() {
        if pair[1].arm_m >= 0.0 {
            continue;
        }
        // At rest the arm is nought to rounding: where it is negative by the first step,
        // a first rise may lie before that.
        let from = if number == 0 {
            rise_before(craft, lean, &pair[0], &pair[1])?
        } else {
            (pair[0].arm_m > 0.0).then(|| pair[0].clone())
        };
        let Some(from) = from else { continue };
        let span = pair[1].lean_rad - from.lean_rad;
        let found = first_below(
            (from.arm_m, from.clone()),
            [span, span],
            [ANGLE_WITHIN_RAD, ARM_WITHIN_M],
            |further, near: &Leaned| {
                let at = lean_to(craft, lean, from.lean_rad + further, &near.rest)?;
                Ok::<_, EquilibriumError>((at.arm_m, at))
            },
        )?;
        tops.extend(
            found
                .map(|found| found.state)
                .filter(|top| top.rest.energy_m4 - start.rest.energy_m4 > neutral_m4),
        );
    }
    Ok(tops)
}

/// A place with a positive arm between rest and the first step, found by halving.
fn rise_before(
    craft: &Craft,
    lean: &Lean,
    rest: &Leaned,
    step: &Leaned,
) -> Result<Option<Leaned>, EquilibriumError> {
    let mut lean_rad = step.lean_rad;
    for _ in 0..RISE_HALVINGS {
        lean_rad /= 2.0;
        let at = lean_to(craft, lean, lean_rad, &rest.rest)?;
        if at.arm_m > ARM_WITHIN_M {
            return Ok(Some(at));
        }
    }
    Ok(None)
}
