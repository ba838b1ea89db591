//! Every attitude in which a craft comes to rest, and the passes between them.
use nalgebra::{SymmetricEigen, Vector3};
use rayon::prelude::*;

use super::energy::Craft;
use super::rest::{EquilibriumError, Hold, Rest, find_rest, find_rest_from};
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// Directions of the vertical at which the energy is looked at: about 4.5°
/// apart. Rests shallower than that may be missed, unless they are given.
const DIRECTIONS: u32 = 2000;
/// Share of the spacing within which directions count as neighbours: takes in
/// the first ring (up to √2 times the closest) of an even spread.
const NEIGHBOURS_WITHIN: f64 = 1.6;
/// Rests nearer to each other than this are one, rad.
const SAME_REST_RAD: f64 = 1e-3;
/// Barriers lower than this share of `volume × size` are none: the craft is
/// neutral along them. A millionth: 0.006 J for 200 kg and 3 m.
const NEUTRAL: f64 = 1e-6;
/// Longest Newton step to a pass, rad, and how far a pass may lie from where
/// the search for it began.
const PASS_STEP_RAD: f64 = 0.05;
const PASS_WITHIN_RAD: f64 = 0.4;
/// Newton steps to a pass before it is left where the grid saw it.
const PASS_STEPS: usize = 40;
/// Lever at a pass below which it is found, as a share of the craft's size.
const PASS_ARM: f64 = 1e-9;

/// An attitude in which the craft comes to rest by itself.
#[derive(Debug, Clone)]
pub struct RestingAttitude {
    /// The craft there.
    pub rest: Rest,
    /// Whether it stays as well in attitudes beside it, like a log that rolls.
    pub neutral: bool,
}

/// The lowest way over from one rest to another.
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

/// All rests, lowest energy first, and the passes that join them as a tree.
#[derive(Debug, Clone)]
pub struct SphereMap {
    /// The rests.
    pub attitudes: Vec<RestingAttitude>,
    /// One pass fewer than rests.
    pub passes: Vec<Pass>,
    /// Kernel calls taken.
    pub kernel_calls: usize,
}

impl SphereMap {
    /// The pass that has to be climbed from one rest to another: the highest on
    /// the way through the tree. `None` from a rest to itself.
    #[must_use]
    pub fn highest_pass(&self, from: usize, to: usize) -> Option<&Pass> {
        let mut reached: Vec<Option<Option<usize>>> = vec![None; self.attitudes.len()];
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
                        .filter(|&known| self.passes[known].energy_m4 > pass.energy_m4)
                        .unwrap_or(number);
                    reached[there] = Some(Some(higher));
                    waiting.push(there);
                }
            }
        }
        reached
            .get(to)
            .copied()??
            .map(|number| &self.passes[number])
    }
}

/// Maps the energy over every attitude. `known` are rests already found, which
/// the grid might be too wide for.
///
/// # Errors
/// As [`find_rest`].
pub fn map_sphere(craft: &Craft, known: &[Rest]) -> Result<SphereMap, EquilibriumError> {
    let ups: Vec<Vec3> = even_directions(DIRECTIONS);
    let mut points: Vec<Rest> = ups
        .par_iter()
        .map(|up| find_rest(craft, up, Hold::Attitude))
        .collect::<Result<_, _>>()?;
    let spacing = (4.0 * std::f64::consts::PI / f64::from(DIRECTIONS)).sqrt();
    let near = neighbours(&points, NEIGHBOURS_WITHIN * spacing);
    let seeds: Vec<usize> = (0..points.len())
        .filter(|&i| {
            near[i]
                .iter()
                .all(|&j| points[i].energy_m4 <= points[j].energy_m4)
        })
        .collect();
    let found: Vec<Rest> = seeds
        .par_iter()
        .map(|&seed| find_rest_from(craft, points[seed].plane(), Hold::Nothing))
        .collect::<Result<_, _>>()?;
    let mut calls: usize = points.iter().map(|point| point.kernel_calls + 1).sum();
    calls += found.iter().map(|rest| rest.kernel_calls).sum::<usize>();
    let mut rests: Vec<Rest> = Vec::new();
    for rest in known.iter().cloned().chain(found) {
        let is_new = |other: &Rest| angle_rad(other, &rest) > SAME_REST_RAD;
        if rests.iter().all(is_new) {
            rests.push(rest);
        }
    }
    rests.sort_by(|a, b| a.energy_m4.total_cmp(&b.energy_m4));
    // The rests join the grid, first so that their numbers are the same.
    points.splice(0..0, rests.iter().cloned());
    let near = neighbours(&points, NEIGHBOURS_WITHIN * spacing);
    let basin = basins(&points, &near, rests.len());
    let mut ridges = ridges(&points, &near, &basin);
    let searched: Vec<(Pass, usize)> = ridges
        .par_drain(..)
        .map(|ridge| exact_pass(craft, &points, ridge))
        .collect();
    calls += searched.iter().map(|(_, calls)| calls).sum::<usize>();
    let passes = tree(searched.into_iter().map(|(pass, _)| pass), rests.len());
    let neutral_m4 = NEUTRAL * craft.volume_to_displace_m3() * size_m(craft);
    Ok(without_neutral(rests, passes, neutral_m4, calls))
}

/// Points spread evenly over the unit sphere along a spiral of golden angles.
fn even_directions(count: u32) -> Vec<Vec3> {
    let golden = std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
    (0..count)
        .map(|i| {
            let z = 1.0 - (2.0 * f64::from(i) + 1.0) / f64::from(count);
            let (sin, cos) = (golden * f64::from(i)).sin_cos();
            let r = (1.0 - z * z).sqrt();
            Vec3::new(r * cos, r * sin, z)
        })
        .collect()
}

fn angle_rad(a: &Rest, b: &Rest) -> f64 {
    let (a, b) = (a.plane().up, b.plane().up);
    a.cross(&b).norm().atan2(a.dot(&b))
}

fn size_m(craft: &Craft) -> f64 {
    [Vec3::x(), Vec3::y(), Vec3::z()]
        .iter()
        .filter_map(|axis| craft.displacers.reach_m(axis))
        .map(|(low, high)| high - low)
        .fold(f64::MIN_POSITIVE, f64::max)
}

fn neighbours(points: &[Rest], within_rad: f64) -> Vec<Vec<usize>> {
    let cosine = within_rad.cos();
    points
        .par_iter()
        .enumerate()
        .map(|(i, point)| {
            let up = point.plane().up;
            (0..points.len())
                .filter(|&j| j != i && points[j].plane().up.dot(&up) >= cosine)
                .collect()
        })
        .collect()
}

/// The rest that each point drains to: down to the lowest neighbour, again and
/// again. The first `rests` points are the rests; the grid's other lowest
/// points drain to the rest nearest by.
fn basins(points: &[Rest], near: &[Vec<usize>], rests: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..points.len()).collect();
    order.sort_by(|&a, &b| points[a].energy_m4.total_cmp(&points[b].energy_m4));
    let mut basin = vec![usize::MAX; points.len()];
    for point in order {
        let lowest = near[point]
            .iter()
            .copied()
            .filter(|&n| basin[n] != usize::MAX)
            .min_by(|&a, &b| points[a].energy_m4.total_cmp(&points[b].energy_m4));
        basin[point] = match lowest {
            _ if point < rests => point,
            Some(lowest) => basin[lowest],
            None => (0..rests)
                .min_by(|&a, &b| {
                    angle_rad(&points[a], &points[point])
                        .total_cmp(&angle_rad(&points[b], &points[point]))
                })
                .unwrap_or(0),
        };
    }
    basin
}

/// Where two basins touch lowest.
#[derive(Debug, Clone, Copy)]
struct Ridge {
    between: [usize; 2],
    points: [usize; 2],
    energy_m4: f64,
}

fn ridges(points: &[Rest], near: &[Vec<usize>], basin: &[usize]) -> Vec<Ridge> {
    let mut lowest: std::collections::BTreeMap<[usize; 2], Ridge> = Default::default();
    for (i, beside) in near.iter().enumerate() {
        for &j in beside.iter().filter(|&&j| j > i && basin[j] != basin[i]) {
            let mut between = [basin[i], basin[j]];
            between.sort_unstable();
            let ridge = Ridge {
                between,
                points: [i, j],
                energy_m4: points[i].energy_m4.max(points[j].energy_m4),
            };
            let known = lowest.entry(between).or_insert(ridge);
            if ridge.energy_m4 < known.energy_m4 {
                *known = ridge;
            }
        }
    }
    lowest.into_values().collect()
}

/// Newton's method on the slope from a ridge to the equilibrium on it, which
/// must have one way down; else the ridge as the grid saw it.
fn exact_pass(craft: &Craft, points: &[Rest], ridge: Ridge) -> (Pass, usize) {
    let [a, b] = ridge.points.map(|point| points[point].plane());
    let highest = if points[ridge.points[0]].energy_m4 > points[ridge.points[1]].energy_m4 {
        a
    } else {
        b
    };
    let rough = Pass {
        between: ridge.between,
        plane: *highest,
        energy_m4: ridge.energy_m4,
        exact: false,
    };
    let start = (a.up + b.up).normalize();
    let mut plane = WaterPlane {
        up: start,
        level_m: f64::midpoint(a.level_m, b.level_m),
    };
    let volume = craft.volume_to_displace_m3();
    let size = size_m(craft);
    let floor = ridge
        .between
        .map(|rest| points[rest].energy_m4)
        .into_iter()
        .fold(f64::NEG_INFINITY, f64::max);
    for calls in 1..=PASS_STEPS {
        let here = craft.energy_at(&plane);
        let lever = here.slope[1].hypot(here.slope[2]);
        if here.slope[0].abs() <= 1e-10 * volume && lever <= PASS_ARM * volume * size {
            let scale = Vector3::new(size, 1.0, 1.0);
            let curvature = here.curvature.component_mul(&(scale * scale.transpose()));
            let values = SymmetricEigen::new(curvature).eigenvalues;
            let ways_down = values.iter().filter(|value| **value < 0.0).count();
            let beside = start.dot(&plane.up) >= PASS_WITHIN_RAD.cos();
            let over = here.energy_m4 >= floor - NEUTRAL * volume * size;
            if ways_down == 1 && beside && over {
                let exact = Pass {
                    plane,
                    energy_m4: here.energy_m4,
                    exact: true,
                    ..rough
                };
                return (exact, calls);
            }
            return (rough, calls);
        }
        let Some(inverse) = here.curvature.try_inverse() else {
            return (rough, calls);
        };
        let step = -(inverse * here.slope);
        let angle = step[1].hypot(step[2]);
        let share = (PASS_STEP_RAD / angle.max(f64::MIN_POSITIVE))
            .min(0.1 * size / step[0].abs().max(f64::MIN_POSITIVE))
            .min(1.0);
        let axes = plane.axes();
        let tilt = (axes.forward * step[1] + axes.port * step[2]) * share;
        let reference = here.immersion.reference_m;
        let level = -plane.height_m(&reference) + share * step[0];
        let up = (plane.up + tilt).normalize();
        plane = WaterPlane {
            up,
            level_m: level + up.dot(&reference),
        };
    }
    (rough, PASS_STEPS)
}

/// The lowest passes that join all rests, without a round trip.
fn tree(passes: impl Iterator<Item = Pass>, rests: usize) -> Vec<Pass> {
    let mut sorted: Vec<Pass> = passes.collect();
    sorted.sort_by(|a, b| a.energy_m4.total_cmp(&b.energy_m4));
    let mut group: Vec<usize> = (0..rests).collect();
    sorted.retain(|pass| {
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
    sorted
}

/// Joins rests with no barrier worth the name between them.
fn without_neutral(
    rests: Vec<Rest>,
    passes: Vec<Pass>,
    neutral_m4: f64,
    kernel_calls: usize,
) -> SphereMap {
    let mut group: Vec<usize> = (0..rests.len()).collect();
    let mut neutral = vec![false; rests.len()];
    let (low, high): (Vec<Pass>, Vec<Pass>) = passes.into_iter().partition(|pass| {
        let [a, b] = pass.between.map(|rest| rests[rest].energy_m4);
        pass.energy_m4 - a.max(b) < neutral_m4
    });
    for pass in &low {
        let [a, b] = pass.between.map(|rest| group[rest]);
        let (keep, gone) = (a.min(b), a.max(b));
        neutral[keep] = true;
        for member in &mut group {
            if *member == gone {
                *member = keep;
            }
        }
    }
    let kept: Vec<usize> = (0..rests.len()).filter(|&i| group[i] == i).collect();
    let number = |rest: usize| kept.iter().position(|&k| k == group[rest]).unwrap_or(0);
    let passes = high
        .iter()
        .map(|pass| Pass {
            between: pass.between.map(number),
            ..pass.clone()
        })
        .collect();
    let attitudes = kept
        .iter()
        .map(|&i| RestingAttitude {
            rest: rests[i].clone(),
            neutral: neutral[i],
        })
        .collect();
    SphereMap {
        attitudes,
        passes,
        kernel_calls,
    }
}
