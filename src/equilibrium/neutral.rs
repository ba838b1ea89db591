//! Attitudes in which a craft stays as well as in the one beside: a log that rolls.
use nalgebra::Vector2;

use super::landscape::{Landscape, Spot, angle};
use super::rest::Rest;
use super::sphere::NEUTRAL;
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// Strides along a level valley, rad of `w` (about 3°), and the most of them to one
/// side: more than once round.
const STRIDE: f64 = 0.05;
const MOST_STRIDES: usize = 135;
/// A range of fewer strides than this (about 12°) is a soft rest, no neutral one.
const LEAST_STRIDES: usize = 4;
/// Corrections across after a stride.
const CORRECTIONS: usize = 2;
/// Share of the volume within which levels are solved.
const VOLUME_WITHIN: f64 = 1e-3;
/// Heels further apart than this end a range, deg: some strides.
const GAP_DEG: f64 = 15.0;

/// A rest with the attitudes that are as good.
pub(super) struct Family {
    pub(super) rest: Rest,
    pub(super) spot: Spot,
    /// As good as the rest; none where it is a rest of its own.
    pub(super) beside: Vec<Spot>,
    spacing: f64,
}

impl Family {
    /// Walks from a rest along its softest direction both ways for as long as the
    /// energy does not rise. Where it is level all round, the spots of the grid that
    /// are as low and join are taken in as well.
    pub(super) fn of(
        land: &Landscape<'_>,
        rest: Rest,
        spot: Spot,
        spots: &[Spot],
        spacing: f64,
    ) -> Self {
        let mut beside = Vec::new();
        let [(_, soft), (_, stiff)] = spot.softest();
        for sign in [1.0, -1.0] {
            if walk(land, &spot, &(soft * sign), &mut beside) {
                break;
            }
        }
        if beside.len() < LEAST_STRIDES {
            // Soft, but it has a place of its own.
            beside.clear();
        }
        let mut family = Self {
            rest,
            spot,
            beside,
            spacing,
        };
        let all_round = |land: &Landscape<'_>| {
            [1.0, -1.0].iter().all(|sign| {
                let there = land.step(&family.spot, &(stiff * (sign * STRIDE)), VOLUME_WITHIN);
                is_as_low(land, &family.spot, &there)
            })
        };
        if !family.beside.is_empty() && all_round(land) {
            family.take_in(land, spots);
        }
        family
    }

    fn take_in(&mut self, land: &Landscape<'_>, spots: &[Spot]) {
        let mut left: Vec<&Spot> = spots
            .iter()
            .filter(|there| is_as_low(land, &self.spot, there))
            .collect();
        let mut reached = vec![self.spot.clone()];
        while let Some(here) = reached.pop() {
            let (near, far): (Vec<&Spot>, Vec<&Spot>) = left
                .into_iter()
                .partition(|there| angle(&there.stretched, &here.stretched) < 1.6 * self.spacing);
            left = far;
            for spot in near {
                reached.push(spot.clone());
                self.beside.push(spot.clone());
            }
        }
    }

    /// Whether a spot lies among the attitudes that are as good as the rest.
    pub(super) fn holds(&self, land: &Landscape<'_>, spot: &Spot) -> bool {
        let near = |there: &Spot| {
            angle(&there.stretched, &spot.stretched) < self.spacing.max(2.0 * STRIDE)
        };
        is_as_low(land, &self.spot, spot) && self.beside.iter().any(near)
    }
}

/// No higher than a rest by what counts.
fn is_as_low(land: &Landscape<'_>, rest: &Spot, there: &Spot) -> bool {
    there.energy_m4 - rest.energy_m4 <= NEUTRAL * land.volume_m3 * land.size_m
}

/// Walks one way along a level valley; whether it came round to where it began.
fn walk(land: &Landscape<'_>, from: &Spot, way: &Vector2<f64>, beside: &mut Vec<Spot>) -> bool {
    let mut here = from.clone();
    let mut onward = from.tangents[0] * way[0] + from.tangents[1] * way[1];
    for stride in 0..MOST_STRIDES {
        let w = (here.stretched * STRIDE.cos() + onward * STRIDE.sin()).normalize();
        let mut next = land.spot_towards(&here, &land.up_of(&w), VOLUME_WITHIN);
        for _ in 0..CORRECTIONS {
            if is_as_low(land, from, &next) {
                break;
            }
            next = across(land, &here, &next);
        }
        if !is_as_low(land, from, &next) {
            return false;
        }
        if stride > 1 && angle(&next.stretched, &from.stretched) < 0.7 * STRIDE {
            return true;
        }
        onward = ahead(&here.stretched, &next.stretched);
        here = next.clone();
        beside.push(next);
    }
    true
}

/// The way on at a direction, coming from another.
fn ahead(from: &Vec3, here: &Vec3) -> Vec3 {
    let back = from - here * here.dot(from);
    -back / back.norm().max(f64::MIN_POSITIVE)
}

/// Slides a spot down square to the way that it was come to by.
fn across(land: &Landscape<'_>, from: &Spot, here: &Spot) -> Spot {
    let onward = ahead(&from.stretched, &here.stretched);
    let side = here.stretched.cross(&onward);
    let part = Vector2::new(here.tangents[0].dot(&side), here.tangents[1].dot(&side));
    let bend = part.dot(&(here.curvature * part));
    if bend <= 0.0 {
        return here.clone();
    }
    let step = (-here.slope.dot(&part) / bend).clamp(-STRIDE, STRIDE);
    land.step(here, &(part * step), VOLUME_WITHIN)
}

/// The heels of some attitudes as one range, deg: from the first value up to the
/// second, round by 180° where they lie so; −180 to 180 where they go all round.
pub(super) fn heel_range_deg(rest: &WaterPlane, beside: &[WaterPlane]) -> [f64; 2] {
    let mut heels: Vec<f64> = std::iter::once(rest)
        .chain(beside)
        .map(WaterPlane::heel_deg)
        .collect();
    heels.sort_by(f64::total_cmp);
    let count = heels.len();
    let gap = |i: usize| {
        let next = heels[(i + 1) % count] + if i + 1 == count { 360.0 } else { 0.0 };
        next - heels[i]
    };
    let widest = (0..count)
        .max_by(|&a, &b| gap(a).total_cmp(&gap(b)))
        .unwrap_or(0);
    if gap(widest) < GAP_DEG {
        return [-180.0, 180.0];
    }
    let low = heels[(widest + 1) % count];
    let high = heels[widest];
    [low, if high < low { high + 360.0 } else { high }]
}
