//! Large flat things in a scan: a floor that the hull stands on, and the plane
//! in which half a hull was cut off.
use nalgebra::{SMatrix, SVector};

use super::super::samples::spread_over;
use super::super::surface::Surface;
use super::super::symmetry::{principal_axes, quantile};
use super::floor::COVE_M;
use crate::numerics::{Vec3, least_and_most};

/// Points that are looked at, and planes through three of them that are tried.
const POINTS: usize = 3000;
const TRIED: usize = 400;
/// Share of the diagonal within which a point counts as on a plane: 4 mm on a
/// hull of 3.4 m, the roughness of a phone's scan.
const ON_PLANE_SHARE: f64 = 1.1e-3;
/// A floor has at least this share of the area, and all but this share of the
/// rest lies over it.
const FLOOR_SHARE: f64 = 0.12;
const STRAY_SHARE: f64 = 0.03;
/// Of a plane through three points of a torn edge that is not settled yet.
const TRIED_STRAY_SHARE: f64 = 0.08;
/// Share of the diagonal that goes with a floor over it at least: 1.5 mm where
/// the floor is 5 m long.
const FLOOR_EDGE_SHARE: f64 = 3e-4;
/// Roughness of a floor as a multiple of the median height of its points over
/// or under it: four standard deviations of normal noise.
const ROUGH_MEDIANS: f64 = 6.0;
/// A floor reaches farther sideways than what stands on it by this factor: a
/// flat bottom or a transom does not.
const FLOOR_WIDER: f64 = 1.1;
/// Share of its open edge that half a hull has in its centre plane at least.
const HALF_SHARE: f64 = 0.3;
/// What is left of the edge is looked at when it is more than this share.
const REST_SHARE: f64 = 0.2;
/// Reaches at which an edge is asked how much of it is flat: from this share of the
/// diagonal (0.7 mm on a hull of 3.6 m), each the next times this, up to 24 mm there.
const LEAST_REACH_SHARE: f64 = 2e-4;
const REACH_STEP: f64 = 1.25;
const REACHES: usize = 17;
/// Planes that are settled, of those tried, the most telling.
const SETTLED: usize = 12;
/// Rounds of settling a plane on the edge itself.
const SETTLINGS: usize = 4;
/// The edge is averaged along so many points each way before it is asked for planes: some
/// 15 cm of the edge of half a hull of 3.6 m. Teeth average out along that, a bend or a
/// curve in the plane does not.
const AVERAGED: usize = 16;
/// A rim runs in one smooth bend, a sheer: a smooth surface of so many terms over its plane
/// holds at least this much of the square of what its averaged heights are off that. Of a torn
/// cut it holds as little as chance gives it.
const SHEER_TERMS: usize = 8;
const SHEERED_SHARE: f64 = 0.6;
const TRIFLE: f64 = 1e-9;
/// A cut reaches along at least this share of the open edge: a plane through a piece of a rim
/// does not.
const CUT_REACHES: f64 = 0.85;
/// Flat parts that are listed at most.
const MOST_PARTS: usize = 4;
/// A part of this share of the longest may be the cut too: a sheer may, the rims of a
/// deck's openings are shorter.
const RIVAL_SHARE: f64 = 0.5;
/// A part of an edge is the cut when all such others are sheered by so many times what it
/// seems to be itself.
const CLEARLY_SHEERED: f64 = 3.0;
/// A sheer so small, as a share of the diagonal (8 mm on a hull of 3.6 m, as a root mean
/// square), may be a cut that strays, if its edge is torn: rougher than the other, or than
/// what counts as flat, by this factor.
const SMALL_SHEER_SHARE: f64 = 2e-3;
const TORN_TIMES: f64 = 1.5;

/// `normal · x = offset_m`, and the points on it.
#[derive(Debug, Clone)]
pub(super) struct Flat {
    pub(super) normal: Vec3,
    pub(super) offset_m: f64,
    on: Vec<bool>,
    /// Share of all points on it.
    pub(super) share: f64,
    /// How far over it its own points may lie, m.
    rough_m: f64,
}

impl Flat {
    /// Height over a floor up to which things are taken for it, m.
    pub(super) fn reach_m(&self, surface: &Surface) -> f64 {
        self.rough_m.max(FLOOR_EDGE_SHARE * surface.diagonal_m())
    }
}

/// The plane with the most points within reach, settled by least squares.
fn flattest(points: &[Vec3], reach_m: f64) -> Option<Flat> {
    let count = points.len();
    if count < 10 {
        return None;
    }
    let height = |normal: &Vec3, offset: f64, p: &Vec3| (normal.dot(p) - offset).abs();
    let hits = |normal: &Vec3, offset: f64| {
        let near = points
            .iter()
            .filter(|p| height(normal, offset, p) <= reach_m);
        near.count()
    };
    // Three points far apart in the list, the same ones every time.
    let pick = |k: usize, step: usize| points[(k * step + k * k) % count];
    let (mut normal, mut offset_m) = (0..TRIED)
        .filter_map(|k| {
            let [a, b, c] = [
                pick(k, 7919),
                pick(k + 17, 104_729),
                pick(k + 41, 15_485_863),
            ];
            let normal = (b - a).cross(&(c - a)).try_normalize(1e-12)?;
            Some((normal, normal.dot(&a)))
        })
        .max_by_key(|(normal, offset)| hits(normal, *offset))?;
    for _ in 0..5 {
        let on: Vec<Vec3> = points
            .iter()
            .filter(|p| height(&normal, offset_m, p) <= reach_m)
            .copied()
            .collect();
        if on.len() < 3 {
            return None;
        }
        let (middle, [_, _, least]) = principal_axes(&on);
        normal = least;
        offset_m = least.dot(&middle);
    }
    let on: Vec<bool> = points
        .iter()
        .map(|p| height(&normal, offset_m, p) <= reach_m)
        .collect();
    let share = on.iter().filter(|on| **on).count() as f64 / count as f64;
    let off = points
        .iter()
        .zip(&on)
        .filter(|(_, on)| **on)
        .map(|(p, _)| height(&normal, offset_m, p));
    let rough_m = (ROUGH_MEDIANS * quantile(off.collect(), 0.5)).min(2.0 * reach_m);
    Some(Flat {
        normal,
        offset_m,
        on,
        share,
        rough_m,
    })
}

/// A floor under the mesh, its normal toward the hull.
pub(super) fn find_floor(surface: &Surface) -> Option<Flat> {
    let points = spread_over(surface, POINTS, |_| true);
    let reach_m = ON_PLANE_SHARE * surface.diagonal_m();
    let mut floor = flattest(&points, reach_m)?;
    let rest: Vec<Vec3> = points
        .iter()
        .zip(&floor.on)
        .filter(|(_, on)| !**on)
        .map(|(p, _)| *p)
        .collect();
    let over = |p: &&Vec3| floor.normal.dot(p) > floor.offset_m;
    let share_over = rest.iter().filter(over).count() as f64 / rest.len().max(1) as f64;
    if share_over < 0.5 {
        floor.normal = -floor.normal;
        floor.offset_m = -floor.offset_m;
    }
    let stray = share_over.min(1.0 - share_over);
    let flat: Vec<Vec3> = points
        .iter()
        .zip(&floor.on)
        .filter(|(_, on)| **on)
        .map(|(p, _)| *p)
        .collect();
    let (_, [_, sideways, _]) = principal_axes(&flat);
    let width = |points: &[Vec3]| {
        let values: Vec<f64> = points.iter().map(|p| p.dot(&sideways)).collect();
        quantile(values.clone(), 0.98) - quantile(values, 0.02)
    };
    let is_floor = floor.share >= FLOOR_SHARE
        && !rest.is_empty()
        && stray <= STRAY_SHARE
        && width(&flat) > FLOOR_WIDER * width(&rest);
    is_floor.then_some(floor)
}

/// A mesh without the floor under it, the share of the area that the floor took,
/// and the way from it to the hull; `None` where there is no floor.
#[must_use]
pub fn without_floor(surface: &Surface) -> Option<(Surface, f64, Vec3)> {
    let floor = find_floor(surface)?;
    let mut rest = surface.clone();
    remove_floor(&mut rest, &floor);
    Some((rest, floor.share, floor.normal))
}

/// Removes a floor and what lies under it: faces wholly within reach of it or
/// below, and the low ones that reach down to it, which a scanner draws between it and the
/// hull.
pub(super) fn remove_floor(surface: &mut Surface, floor: &Flat) {
    let reach_m = floor.reach_m(surface);
    let vertices = &surface.vertices;
    surface.faces.retain(|face| {
        let heights = face.map(|v| floor.normal.dot(&vertices[v as usize]) - floor.offset_m);
        let [least, most] = [f64::min, f64::max].map(|f| heights.into_iter().fold(heights[0], f));
        most > reach_m && (least > reach_m || most > COVE_M)
    });
    surface.drop_unused_vertices();
}

/// A flat part of the open edge of half a hull, with all of the surface on one
/// side.
#[derive(Debug, Clone)]
pub(super) struct FlatPart {
    /// Away from the half that is there.
    pub(super) normal: Vec3,
    pub(super) offset_m: f64,
    /// All but a hundredth of its edge lies nearer to the plane than this, m.
    pub(super) reach_m: f64,
    /// Nine tenths do, m.
    pub(super) off_m: f64,
    /// How it bends.
    sheer: Sheer,
    pub(super) share: f64,
    pub(super) middle: Vec3,
    /// Points of the edge on it, in order, m.
    pub(super) on: Vec<Vec3>,
    /// Breadth and depth of the hull that mirroring in it makes, m.
    pub(super) makes_m: [f64; 2],
}

/// How a part of an edge bends off its plane.
#[derive(Debug, Clone, Copy)]
struct Sheer {
    /// Root mean square height of the smooth bend over the plane, m.
    bend_m: f64,
    /// Share of the square of the averaged heights that it holds.
    share: f64,
    /// Root mean square height of the edge over it, m.
    rough_m: f64,
}

impl Sheer {
    /// Of points along a part, in order, over the plane with this normal.
    fn of(points: &[Vec3], normal: &Vec3, offset_m: f64) -> Self {
        let (middle, [long, across, _]) = principal_axes(points);
        let half_m = points.iter().map(|p| (p - middle).dot(&long).abs());
        let half_m = half_m.fold(f64::MIN_POSITIVE, f64::max);
        let row = |p: &Vec3| {
            let [s, t] = [long, across].map(|axis| (p - middle).dot(&axis) / half_m);
            let terms = [1.0, s, t, s * s, s * t, t * t, s.powi(3), s.powi(4)];
            SVector::<f64, SHEER_TERMS>::from(terms)
        };
        let height = |p: &Vec3| normal.dot(p) - offset_m;
        // Along the part alone: at its ends the averaged edge leaves its plane.
        let stretches = points.chunks(2 * AVERAGED + 1).map(|stretch| {
            let count = stretch.len() as f64;
            let middle = stretch.iter().sum::<Vec3>() / count;
            (row(&middle), height(&middle), count)
        });
        let stretches: Vec<_> = stretches.collect();
        let whole = points.len().max(1) as f64;
        let mut matrix = SMatrix::identity() * (TRIFLE * whole);
        let mut right = SVector::zeros();
        for (row, height, count) in &stretches {
            matrix += row * row.transpose() * *count;
            right += row * (*height * count);
        }
        let solved = matrix.try_inverse().unwrap_or_default() * right;
        let mean = |squares: f64| squares / whole;
        let bend = mean(
            stretches
                .iter()
                .map(|s| s.0.dot(&solved).powi(2) * s.2)
                .sum(),
        );
        let all = mean(stretches.iter().map(|s| s.1.powi(2) * s.2).sum());
        let off = |p: &Vec3| (height(p) - row(p).dot(&solved)).powi(2);
        Self {
            bend_m: bend.sqrt(),
            share: bend / all.max(f64::MIN_POSITIVE),
            rough_m: mean(points.iter().map(off).sum()).sqrt(),
        }
    }
}

/// The flat parts of an edge, given as points evenly along it, the longest first.
///
/// How near a part lies to its plane is not given but found: each plane is taken at
/// the reach at which so many points so near would be least likely of an edge that runs
/// anywhere across the hull (the a-contrario rule of L. Moisan and B. Stival, "A
/// probabilistic criterion to detect rigid point matches between two images and estimate
/// the fundamental matrix", Int. J. Computer Vision 57, 2004: here for planes). The
/// edge is averaged along itself first, so that teeth do not make planes of their own.
pub(super) fn flat_parts(surface: &Surface, edge: &[Vec3]) -> Vec<FlatPart> {
    let points = spread_over(surface, POINTS, |_| true);
    let least_m = LEAST_REACH_SHARE * surface.diagonal_m();
    let (_, [_, _, thin]) = principal_axes(&points);
    let width_m = reach_m(&points, &thin);
    let even = averaged(edge);
    let mut parts: Vec<FlatPart> = Vec::new();
    let mut left: Vec<usize> = (0..edge.len()).collect();
    while parts.len() < MOST_PARTS
        && left.len() as f64 > REST_SHARE * edge.len() as f64
        && let places = left.iter().map(|k| even[*k]).collect::<Vec<Vec3>>()
        && let Some(found) = most_telling(&places, &points, least_m, width_m)
    {
        let found = found.settled_on(edge, &left, &even);
        let height = |p: &Vec3| found.normal.dot(p) - found.offset_m;
        let (on, off): (Vec<usize>, Vec<usize>) = left
            .iter()
            .partition(|k| height(&edge[**k]).abs() <= found.reach_m);
        let share = on.len() as f64 / edge.len() as f64;
        if share < REST_SHARE / 2.0 {
            break;
        }
        let on_it: Vec<Vec3> = on.iter().map(|k| edge[*k]).collect();
        let heights: Vec<f64> = on_it.iter().map(height).collect();
        let farthest = |share| quantile(heights.iter().map(|h| h.abs()).collect(), share);
        if let Some(normal) = away_from(&points, &found, STRAY_SHARE) {
            parts.push(FlatPart {
                normal,
                offset_m: found.offset_m * normal.dot(&found.normal),
                reach_m: found.reach_m,
                off_m: farthest(0.9),
                sheer: Sheer::of(&on_it, &found.normal, found.offset_m),
                share,
                middle: on_it.iter().sum::<Vec3>() / on.len() as f64,
                on: on_it,
                makes_m: [
                    2.0 * reach_m(&points, &normal),
                    least_width_m(&points, &normal),
                ],
            });
        }
        left = off;
    }
    parts.sort_by(|a, b| b.share.total_cmp(&a.share));
    if parts.first().is_none_or(|part| part.share < HALF_SHARE) {
        parts.clear();
    }
    parts
}

/// How far points reach along a direction, m.
fn reach_m(points: &[Vec3], way: &Vec3) -> f64 {
    let (lo, hi) = least_and_most(points.iter().map(|p| p.dot(way)));
    hi - lo
}

/// How wide points are across a normal where that is least, m: half a hull is not as straight
/// along its principal axis as along its cut.
fn least_width_m(points: &[Vec3], normal: &Vec3) -> f64 {
    const WAYS: u32 = 180;
    let along = normal.cross(&Vec3::ith_axis(normal.iamin())).normalize();
    let across = normal.cross(&along);
    let ways = (0..WAYS).map(|k| {
        let angle = f64::from(k) * std::f64::consts::PI / f64::from(WAYS);
        along * angle.cos() + across * angle.sin()
    });
    ways.map(|way| reach_m(points, &way))
        .fold(f64::INFINITY, f64::min)
}

/// A closed row of evenly spaced points, each the mean of those beside it.
fn averaged(edge: &[Vec3]) -> Vec<Vec3> {
    let count = edge.len();
    let wide = AVERAGED.min(count / 2);
    (0..count)
        .map(|k| {
            let near = (0..=2 * wide).map(|j| edge[(k + count + j - wide) % count]);
            near.sum::<Vec3>() / (2 * wide + 1) as f64
        })
        .collect()
}

/// A plane with the reach at which it tells most.
struct Telling {
    normal: Vec3,
    offset_m: f64,
    reach_m: f64,
    /// Logarithm of how many planes that tell as much chance would give.
    chance: f64,
}

impl Telling {
    /// The plane through all of the edge itself that lies as near to it as the teeth of
    /// those places where the averaged edge lies on it: by least squares.
    fn settled_on(mut self, edge: &[Vec3], left: &[usize], even: &[Vec3]) -> Self {
        let off = |plane: &Self, p: &Vec3| (plane.normal.dot(p) - plane.offset_m).abs();
        let near = left
            .iter()
            .filter(|k| off(&self, &even[**k]) <= self.reach_m);
        let teeth_m = quantile(near.map(|k| off(&self, &edge[*k])).collect(), 0.99);
        self.reach_m = self.reach_m.max(teeth_m);
        for _ in 0..SETTLINGS {
            let near = left.iter().map(|k| edge[*k]);
            let on: Vec<Vec3> = near.filter(|p| off(&self, p) <= self.reach_m).collect();
            if on.len() < 3 {
                break;
            }
            let (middle, [_, _, least]) = principal_axes(&on);
            self.normal = least;
            self.offset_m = least.dot(&middle);
        }
        self
    }
}

/// The plane that is least likely to be chance among points of an edge, spread over
/// `width_m`, with all of the surface on one side: a plane through keel and gunwale is none.
fn most_telling(points: &[Vec3], surface: &[Vec3], least_m: f64, width_m: f64) -> Option<Telling> {
    let count = points.len();
    if count < 10 {
        return None;
    }
    // ln n! for all n up to count.
    let factorials: Vec<f64> = (0..=count)
        .scan(0.0, |sum, n| {
            *sum += (n.max(1) as f64).ln();
            Some(*sum)
        })
        .collect();
    let tell = |normal: Vec3, offset_m: f64| {
        let mut within = [0_usize; REACHES];
        for p in points {
            let off = (normal.dot(p) - offset_m).abs();
            let step = (off / least_m).max(1.0).ln() / REACH_STEP.ln();
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "the cast saturates"
            )]
            if let Some(slot) = within.get_mut(step.ceil() as usize) {
                *slot += 1;
            }
        }
        let mut best = Telling {
            normal,
            offset_m,
            reach_m: least_m,
            chance: f64::INFINITY,
        };
        let (mut near, mut reach_m) = (0, least_m);
        for more in within {
            near += more;
            // Three points make the plane; the rest must lie near it by chance.
            let ways = factorials[count] - factorials[near] - factorials[count - near];
            let chance = ways + near.saturating_sub(3) as f64 * (2.0 * reach_m / width_m).ln();
            if chance < best.chance {
                best.chance = chance;
                best.reach_m = reach_m;
            }
            reach_m *= REACH_STEP;
        }
        best
    };
    // Three points far apart in the list, the same ones every time.
    let pick = |k: usize, step: usize| points[(k * step + k * k) % count];
    let mut tried: Vec<Telling> = (0..TRIED)
        .filter_map(|k| {
            let [a, b, c] = [
                pick(k, 7919),
                pick(k + 17, 104_729),
                pick(k + 41, 15_485_863),
            ];
            let normal = (b - a).cross(&(c - a)).try_normalize(1e-12)?;
            let plane = tell(normal, normal.dot(&a));
            away_from(surface, &plane, TRIED_STRAY_SHARE).map(|_| plane)
        })
        .collect();
    tried.sort_by(|a, b| a.chance.total_cmp(&b.chance));
    tried.truncate(SETTLED);
    tried
        .into_iter()
        .map(|mut plane| {
            for _ in 0..8 {
                let near =
                    |p: &&Vec3| (plane.normal.dot(p) - plane.offset_m).abs() <= plane.reach_m;
                let on: Vec<Vec3> = points.iter().filter(near).copied().collect();
                if on.len() < 3 {
                    break;
                }
                let (middle, [_, _, least]) = principal_axes(&on);
                let next = tell(least, least.dot(&middle));
                if next.chance >= plane.chance {
                    break;
                }
                plane = next;
            }
            plane
        })
        .filter(|plane| away_from(surface, plane, TRIED_STRAY_SHARE).is_some())
        .min_by(|a, b| a.chance.total_cmp(&b.chance))
}

/// A plane's normal away from the surface, all but strays of which lies on one
/// side of it.
fn away_from(points: &[Vec3], flat: &Telling, stray_share: f64) -> Option<Vec3> {
    let heights = || points.iter().map(|p| flat.normal.dot(p) - flat.offset_m);
    let allowed = stray_share * points.len() as f64;
    let over = heights().filter(|h| *h > flat.reach_m).count() as f64;
    let under = heights().filter(|h| *h < -flat.reach_m).count() as f64;
    if over <= allowed {
        Some(flat.normal)
    } else {
        (under <= allowed).then_some(-flat.normal)
    }
}

/// Whether a flat part may be the cut instead of others, the longest of which is so long.
pub(super) fn may_be_cut(part: &FlatPart, parts: &[FlatPart]) -> bool {
    let longest = parts.iter().map(|part| part.share).fold(0.0, f64::max);
    part.share > RIVAL_SHARE * longest
}

/// The cut among flat parts: the one beside which all others, and what of the edge is in no
/// flat part, bend in a sheer. A level rim is as flat as a cut, and smoother than a torn
/// one: mirrored in it half a hull is as sound a body as in its cut, so that nothing but the
/// number tells.
pub(super) fn cut_of<'a>(
    edge: &[Vec3],
    parts: &'a [FlatPart],
    size_m: f64,
) -> Option<&'a FlatPart> {
    let beats = |a: &Sheer, b: &Sheer| {
        let is_small = b.bend_m < SMALL_SHEER_SHARE * size_m;
        let clean_m = a.rough_m.max(LEAST_REACH_SHARE * size_m);
        b.share > SHEERED_SHARE
            && b.bend_m > CLEARLY_SHEERED * a.bend_m
            && !(is_small && b.rough_m > TORN_TIMES * clean_m)
    };
    let longest = parts.iter().map(|part| part.share).fold(0.0, f64::max);
    let is_rival = |share: f64| share > RIVAL_SHARE * longest;
    let (_, [long, ..]) = principal_axes(edge);
    let reaches_m = |points: &[Vec3]| {
        let (lo, hi) = least_and_most(points.iter().map(|p| p.dot(&long)));
        hi - lo
    };
    let least_m = CUT_REACHES * reaches_m(edge);
    let rivals = || {
        let parts = parts.iter().enumerate();
        parts.filter(|(_, part)| is_rival(part.share) && reaches_m(&part.on) > least_m)
    };
    let off_all = |p: &&Vec3| {
        let off = |part: &FlatPart| (part.normal.dot(p) - part.offset_m).abs() > part.reach_m;
        parts.iter().all(off)
    };
    let rest: Vec<Vec3> = edge.iter().filter(off_all).copied().collect();
    let rest = is_rival(rest.len() as f64 / edge.len() as f64).then(|| {
        let (middle, [_, _, normal]) = principal_axes(&rest);
        Sheer::of(&rest, &normal, normal.dot(&middle))
    });
    let mut cuts = rivals().filter(|(i, a)| {
        let mut others = rivals().filter(|(j, _)| j != i);
        others.all(|(_, b)| beats(&a.sheer, &b.sheer))
            && rest.as_ref().is_none_or(|rest| beats(&a.sheer, rest))
    });
    cuts.next().map(|(_, cut)| cut)
}
