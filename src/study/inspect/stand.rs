//! What a scan stands on where that is one skin with the hull.
use crate::mesh::{Posture, Surface};
use crate::numerics::Vec3;

/// Levels at which areas are taken.
const LEVELS: usize = 100;
/// A hull's own bottom widens fast over its lowest point: up to this share of the height
/// nothing is told.
const FIRST_LEVEL: usize = 15;
/// Where a stand ends and the hull begins, the area grows by more than this factor over so
/// many levels. A hull whose area grows as the cube of the height does by less than 2.1
/// from the first level on.
const WIDENS: f64 = 2.5;
const OVER_LEVELS: usize = 4;
/// The hull begins where the area is this much larger than the stand's.
const BEGINS: f64 = 1.25;
/// Cells of the plan along the hull.
const ALONG: f64 = 120.0;
/// Noise carries the lowest of a scan's corners some three deviations under the hull: the cut
/// is laid so many over it, whence a crop keeps what goes past it by noise, and so far under
/// that, m.
const OVER_NOISES: f64 = 1.5;
const UNDER_M: f64 = 0.001;

/// How far what is narrow reaches down under the hull, m, where the hull is far wider at
/// once over it: trestles that are one skin with the hull, or a deep narrow keel. It is asked
/// of what is seen from below, so that one side of the skin or both give the same.
pub(super) fn stand_under_m(hull: &Surface, posture: &Posture) -> Option<f64> {
    if posture.up_is_a_guess() {
        return None;
    }
    let plan = Plan::of(hull, posture)?;
    let seen = || plan.lowest.iter().copied().filter(|z| z.is_finite());
    let (lo, hi) = (seen().fold(f64::INFINITY, f64::min), plan.top_m);
    let level = |k: usize| lo + (hi - lo) * k as f64 / LEVELS as f64;
    let cells = |k: usize| seen().filter(|z| *z <= level(k)).count() as f64;
    let area: Vec<f64> = (0..=LEVELS).map(cells).collect();
    let top = (FIRST_LEVEL..LEVELS / 2 + FIRST_LEVEL)
        .find(|k| area[*k] > 0.0 && area[k + OVER_LEVELS] > WIDENS * area[*k])?;
    let begins = (top..LEVELS).find(|k| area[*k] > BEGINS * area[top])?;
    // A sharp keel is the lowest of few cells: all of them count.
    let others = plan.away_from(level(begins - 1)).into_iter();
    let lowest = others.min_by(f64::total_cmp)?;
    Some(lowest + OVER_NOISES * posture.noise_m - UNDER_M - lo)
}

/// The lowest that is seen from below in each cell of the plan of an upright hull, m.
struct Plan {
    lowest: Vec<f64>,
    broad: usize,
    top_m: f64,
}

impl Plan {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "cells of a box that holds all"
    )]
    fn of(hull: &Surface, posture: &Posture) -> Option<Self> {
        let used = hull.faces.iter().flatten();
        let placed: Vec<Vec3> = hull.vertices.iter().map(|v| posture.turn * v).collect();
        let (mut lo, mut hi) = (Vec3::repeat(f64::INFINITY), Vec3::repeat(f64::NEG_INFINITY));
        for v in used {
            lo = lo.inf(&placed[*v as usize]);
            hi = hi.sup(&placed[*v as usize]);
        }
        let size = hi - lo;
        if !(size.min() > 0.0 && size.max().is_finite()) {
            return None;
        }
        let cell_m = size.x / ALONG;
        let [long, broad] = [size.x, size.y].map(|wide| (wide / cell_m) as usize + 1);
        let mut lowest = vec![f64::INFINITY; long * broad];
        for face in &hull.faces {
            let [a, b, c] = face.map(|v| placed[v as usize]);
            let longest = [b - a, c - b, a - c].map(|side| side.norm());
            let steps = (longest.into_iter().fold(0.0, f64::max) / cell_m).ceil() as usize + 1;
            for i in 0..=steps {
                for j in 0..=steps - i {
                    let [s, t] = [i, j].map(|k| k as f64 / steps as f64);
                    let p = a + (b - a) * s + (c - a) * t;
                    let at = [p.x - lo.x, p.y - lo.y].map(|off| (off / cell_m) as usize);
                    let slot = &mut lowest[at[0].min(long - 1) * broad + at[1].min(broad - 1)];
                    *slot = slot.min(p.z);
                }
            }
        }
        Some(Self {
            lowest,
            broad,
            top_m: hi.z,
        })
    }

    /// The cells that lie neither under a level nor beside one that does.
    fn away_from(&self, level_m: f64) -> Vec<f64> {
        let is_low = |row: isize, column: isize| {
            let inside = (0..self.broad.cast_signed()).contains(&column);
            let at = usize::try_from(row * self.broad.cast_signed() + column);
            let z = at.ok().and_then(|at| self.lowest.get(at));
            inside && z.is_some_and(|z| *z <= level_m)
        };
        let cells = self.lowest.iter().enumerate().filter(|(at, z)| {
            let row = (at / self.broad).cast_signed();
            let column = (at % self.broad).cast_signed();
            let near = (0..9).map(|k| (row + k / 3 - 1, column + k % 3 - 1));
            z.is_finite() && !near.into_iter().any(|(row, column)| is_low(row, column))
        });
        cells.map(|(_, z)| *z).collect()
    }
}
