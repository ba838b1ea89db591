//! Where the energy over all attitudes is looked at: spread evenly, and along the heel
//! curve.
use nalgebra::Vector2;
use rayon::prelude::*;

use super::landscape::{Landscape, Spot, angle, between, even_directions};
use super::lean::Lean;
use super::rest::{EquilibriumError, Hold, Rest, find_rest};
use super::settle::settle;
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// Stretched directions of the vertical at which the energy is looked at: about 12°
/// apart. 100 to 400 gave the same passes on hulls of length over breadth 5 to 40.
const DIRECTIONS: u32 = 300;
/// Of which so many first, whose levels are guessed from nothing.
const FIRST: u32 = 24;
/// Share of the spacing within which spots count as neighbours: takes in the first ring
/// (up to √2 times the closest) of an even spread.
pub(super) const NEIGHBOURS_WITHIN: f64 = 1.6;
/// Share of the volume within which the level of a spot of the grid is solved; its
/// energy is corrected for the rest to second order.
pub(super) const GRID_VOLUME_WITHIN: f64 = 0.01;
/// Steps of heel to each side between looks along the heel curve: every 5°.
const HEEL_STEPS: u8 = 36;
/// Most tries at the pitch of one of them, and the step, rad of `w`, below which it
/// counts as free; the longest step.
const PITCH_TRIES: u8 = 8;
const PITCH_WITHIN: f64 = 1e-3;
const PITCH_STEP: f64 = 0.2;
/// Looks between two spots of the heel curve.
const LOOKS: u8 = 6;
/// Angle between two directions of the grid, rad.
pub(super) fn spacing() -> f64 {
    (4.0 * std::f64::consts::PI / f64::from(DIRECTIONS)).sqrt()
}

/// Spots spread evenly: a few first, whose levels give the guesses for the others.
pub(super) fn grid(land: &Landscape<'_>) -> Result<Vec<Spot>, EquilibriumError> {
    let first: Vec<Spot> = even_directions(FIRST)
        .par_iter()
        .map(|w| {
            let rest = find_rest(land.craft, &land.up_of(w), Hold::Attitude)?;
            land.add_calls(rest.kernel_calls);
            Ok(land.spot(rest.plane(), GRID_VOLUME_WITHIN))
        })
        .collect::<Result<_, EquilibriumError>>()?;
    let others: Vec<Spot> = even_directions(DIRECTIONS)
        .par_iter()
        .map(|w| {
            let nearest = first
                .iter()
                .min_by(|a, b| angle(&a.stretched, w).total_cmp(&angle(&b.stretched, w)));
            let up = land.up_of(w);
            nearest.map_or_else(
                || land.spot(&WaterPlane { up, level_m: 0.0 }, GRID_VOLUME_WITHIN),
                |near| land.spot_towards(near, &up, GRID_VOLUME_WITHIN),
            )
        })
        .collect();
    Ok(first.into_iter().chain(others).collect())
}

/// Spots along the heel curve with pitch free, from −180° to 180°.
pub(super) fn heel_curve(land: &Landscape<'_>, known: &[Rest]) -> Vec<Spot> {
    let lean = Lean::heel();
    let upright = match known.first() {
        Some(rest) => *rest.plane(),
        None => match settle(land.craft) {
            Ok(settled) => *settled.rest.plane(),
            Err(_) => return Vec::new(),
        },
    };
    let across = upright.up.dot(&lean.axis()).clamp(-1.0, 1.0).asin();
    let at_rest = land.spot(&upright, GRID_VOLUME_WITHIN);
    let walk = |sign: f64| {
        let (mut near, mut across) = (at_rest.clone(), across);
        let mut walked = Vec::with_capacity(usize::from(HEEL_STEPS));
        for step in 0..=HEEL_STEPS {
            let heel = sign * std::f64::consts::PI * f64::from(step) / f64::from(HEEL_STEPS);
            near = pitch_free(land, &lean, heel, &mut across, &near);
            walked.push(near.clone());
        }
        walked
    };
    let (port, starboard) = rayon::join(|| walk(-1.0), || walk(1.0));
    let port = port.into_iter().skip(1).rev();
    port.chain(starboard).collect()
}

/// The spot at a heel, the tilt across turned until its slope is gone.
fn pitch_free(land: &Landscape<'_>, lean: &Lean, heel: f64, across: &mut f64, near: &Spot) -> Spot {
    let mut spot = land.spot_towards(near, &lean.up_at(heel, *across), GRID_VOLUME_WITHIN);
    for _ in 0..PITCH_TRIES {
        let (sin, cos) = heel.sin_cos();
        let level = lean.upright * cos - lean.down * sin;
        let onward = lean.axis() * across.cos() - level * across.sin();
        let Some(part) = in_tilts(&spot, &onward) else {
            break;
        };
        let slope = spot.slope.dot(&part);
        let bend = part.dot(&(spot.curvature * part)).abs();
        let most = PITCH_STEP / part.norm().max(f64::MIN_POSITIVE);
        let step = (-slope / bend.max(f64::MIN_POSITIVE)).clamp(-most, most);
        if (step * part.norm()).abs() <= PITCH_WITHIN {
            break;
        }
        *across += step;
        spot = land.spot_towards(&spot, &lean.up_at(heel, *across), GRID_VOLUME_WITHIN);
    }
    spot
}

/// A tilt of `up` as a step along a spot's tangents.
fn in_tilts(spot: &Spot, tilt: &Vec3) -> Option<Vector2<f64>> {
    let [a, b] = &spot.tilts;
    let [aa, ab, bb] = [a.dot(a), a.dot(b), b.dot(b)];
    let det = aa * bb - ab * ab;
    let [ta, tb] = [a.dot(tilt), b.dot(tilt)];
    (det > 0.0).then(|| Vector2::new((bb * ta - ab * tb) / det, (aa * tb - ab * ta) / det))
}

/// Where the energy along the heel curve is lowest and highest.
pub(super) struct Turns {
    pub(super) lowest: Vec<Spot>,
    pub(super) highest: Vec<Spot>,
}

pub(super) fn turning_points(land: &Landscape<'_>, curve: &[Spot]) -> Turns {
    let mut ways: Vec<(f64, usize, f64)> = Vec::new();
    for (number, pair) in curve.windows(2).enumerate() {
        let way = land.way(&pair[0], &pair[1]);
        ways.extend((0..LOOKS).map(|look| {
            let share = f64::from(look) / f64::from(LOOKS);
            (way.at(share), number, share)
        }));
    }
    let mut turns = Turns {
        lowest: Vec::new(),
        highest: Vec::new(),
    };
    // The curve ends where it began.
    let count = ways.len();
    for (i, &(here, number, share)) in ways.iter().enumerate() {
        let (before, after) = (ways[(i + count - 1) % count].0, ways[(i + 1) % count].0);
        let place = || {
            let [a, b] = [&curve[number], &curve[number + 1]];
            let up = land.up_of(&between(&a.stretched, &b.stretched, share));
            land.spot_towards(if share < 0.5 { a } else { b }, &up, GRID_VOLUME_WITHIN)
        };
        if here <= before && here < after {
            turns.lowest.push(place());
        } else if here >= before && here > after {
            turns.highest.push(place());
        }
    }
    turns
}

/// The spots that lie no higher than any neighbour.
pub(super) fn lowest(spots: &[Spot]) -> Vec<Spot> {
    let cosine = (NEIGHBOURS_WITHIN * spacing()).cos();
    spots
        .iter()
        .filter(|here| {
            spots.iter().all(|there| {
                there.energy_m4 >= here.energy_m4 || there.stretched.dot(&here.stretched) < cosine
            })
        })
        .cloned()
        .collect()
}
