//! Which closed parts of a surface lie inside which.
use std::collections::HashMap;

use rayon::prelude::*;

use super::doubt::id;
use super::surface::Surface;
use crate::numerics::Vec3;

/// A box around a part, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bounds {
    pub(super) lo: Vec3,
    pub(super) hi: Vec3,
}

impl Bounds {
    pub(super) const EMPTY: Self = Self {
        lo: Vec3::new(f64::INFINITY, f64::INFINITY, f64::INFINITY),
        hi: Vec3::new(f64::NEG_INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY),
    };

    pub(super) fn add(&mut self, p: &Vec3) {
        self.lo = self.lo.inf(p);
        self.hi = self.hi.sup(p);
    }

    pub(super) fn volume_m3(&self) -> f64 {
        (self.hi - self.lo).product()
    }

    pub(super) fn contains(&self, other: &Self) -> bool {
        (0..3).all(|k| self.lo[k] < other.lo[k] && other.hi[k] < self.hi[k])
    }
}

/// Only this many of the largest closed parts are asked what they hold: a scan
/// may have thousands of specks, none of which holds anything that matters.
const MOST_HOLDERS: usize = 256;

/// For each part, the closed parts that it lies inside of, outermost first.
/// `part_of_face` gives each face's part; faces of parts that are not `closed`
/// enclose nothing. A part counts as inside when its box is and when a
/// vertical line from a point of it meets the other an odd number of times.
pub(super) fn containers(
    surface: &Surface,
    part_of_face: &[u32],
    bounds: &[Bounds],
    closed: &[bool],
) -> Vec<Vec<u32>> {
    let parts = bounds.len();
    let mut inside: Vec<Vec<u32>> = vec![Vec::new(); parts];
    if parts < 2 {
        return inside;
    }
    // Few parts can hold others; skip all work for the rest.
    let mut holders: Vec<u32> = (0..parts).filter(|&h| closed[h]).map(id).collect();
    let size = |part: u32| bounds[part as usize].volume_m3();
    holders.sort_by(|a, b| size(*b).total_cmp(&size(*a)));
    holders.truncate(MOST_HOLDERS);
    holders.retain(|&h| bounds.iter().any(|b| bounds[h as usize].contains(b)));
    if holders.is_empty() {
        return inside;
    }
    let probes = probes(surface, part_of_face, bounds, &holders);
    let is_holder: Vec<bool> = {
        let mut flags = vec![false; parts];
        for h in &holders {
            flags[*h as usize] = true;
        }
        flags
    };
    let crossings = surface
        .faces
        .par_iter()
        .zip(part_of_face)
        .filter(|(_, part)| is_holder.get(**part as usize).copied().unwrap_or(false))
        .fold(
            HashMap::<(u32, u32), usize>::new,
            |mut hits, (face, &holder)| {
                let corners = face.map(|v| surface.vertices[v as usize]);
                let least = corners.iter().fold(f64::INFINITY, |m, c| m.min(c.x));
                let most = corners.iter().fold(f64::NEG_INFINITY, |m, c| m.max(c.x));
                let first = probes.partition_point(|(p, _)| p.x < least);
                for (probe, part) in probes[first..].iter().take_while(|(p, _)| p.x <= most) {
                    let can_hold = bounds[holder as usize].contains(&bounds[*part as usize]);
                    if can_hold && passes_above(surface, face, probe) {
                        *hits.entry((*part, holder)).or_default() += 1;
                    }
                }
                hits
            },
        )
        .reduce(HashMap::new, |mut all, some| {
            for (key, count) in some {
                *all.entry(key).or_default() += count;
            }
            all
        });
    for ((part, holder), count) in crossings {
        if count % 2 == 1 {
            inside[part as usize].push(holder);
        }
    }
    for holders in &mut inside {
        holders.sort_unstable_by(|a, b| size(*b).total_cmp(&size(*a)).then(a.cmp(b)));
    }
    inside
}

/// A point on the first face of each part that may lie in a holder, by x. The
/// uneven weights keep it off the lattices that meshes are drawn on.
fn probes(
    surface: &Surface,
    part_of_face: &[u32],
    bounds: &[Bounds],
    holders: &[u32],
) -> Vec<(Vec3, u32)> {
    let mut wanted: Vec<bool> = bounds
        .iter()
        .map(|b| holders.iter().any(|h| bounds[*h as usize].contains(b)))
        .collect();
    let mut probes = Vec::new();
    for (face, &part) in part_of_face.iter().enumerate() {
        if let Some(flag) = wanted.get_mut(part as usize)
            && std::mem::take(flag)
        {
            let [a, b, c] = surface.corners(face);
            probes.push((a * 0.31 + b * 0.37 + c * 0.32, part));
        }
    }
    probes.sort_unstable_by(|a, b| a.0.x.total_cmp(&b.0.x));
    probes
}

/// Whether a face lies over the point. Each edge is judged from its lower
/// vertex index, so that both its faces agree.
fn passes_above(surface: &Surface, face: &[u32; 3], p: &Vec3) -> bool {
    let side = |a: u32, b: u32| {
        let (lo, hi) = (a.min(b), a.max(b));
        let (from, to) = (surface.vertices[lo as usize], surface.vertices[hi as usize]);
        let d = to - from;
        let value = d.x * (p.y - from.y) - d.y * (p.x - from.x);
        if a < b { value } else { -value }
    };
    let [a, b, c] = *face;
    let weight = [side(b, c), side(c, a), side(a, b)];
    let agrees = weight.iter().all(|w| *w > 0.0) || weight.iter().all(|w| *w < 0.0);
    let total: f64 = weight.iter().sum();
    agrees && {
        let z: f64 = (0..3)
            .map(|k| weight[k] * surface.vertices[face[k] as usize].z)
            .sum();
        z / total > p.z
    }
}
