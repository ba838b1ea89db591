//! Large flat things in a scan: a floor that the hull stands on, and the plane
//! in which half a hull was cut off.
use super::super::samples::spread_over;
use super::super::surface::Surface;
use super::super::symmetry::{principal_axes, quantile};
use crate::numerics::Vec3;

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
/// A torn cut is looked for with so many times the reach, and is torn when half of
/// it lies farther off than this share of the narrow one.
const TORN_REACHES: f64 = 6.0;
const TORN_SHARE: f64 = 0.6;
/// Flat parts that are listed at most.
const MOST_PARTS: usize = 4;
/// Of two flat parts of an edge one is the cut when it is flatter than the
/// other by this factor.
const CLEARLY_FLATTER: f64 = 2.0;

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
/// below.
pub(super) fn remove_floor(surface: &mut Surface, floor: &Flat) {
    let over = floor.reach_m(surface);
    let vertices = &surface.vertices;
    surface.faces.retain(|face| {
        face.iter()
            .any(|v| floor.normal.dot(&vertices[*v as usize]) - floor.offset_m > over)
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
    /// Within this of the plane the edge belongs to it, m.
    pub(super) reach_m: f64,
    /// Nine tenths of its edge lie nearer than this, m.
    pub(super) off_m: f64,
    /// Half does, m.
    half_m: f64,
    pub(super) share: f64,
    pub(super) middle: Vec3,
}

/// The flat parts of an edge, the longest first. A torn edge is looked at with a
/// wide reach: a narrow one would pick a slanting plane through some of its teeth. A
/// smooth edge is not: a gently sprung sheer would pass for flat.
pub(super) fn flat_parts(surface: &Surface, edge: &[Vec3], is_ragged: bool) -> Vec<FlatPart> {
    let points = spread_over(surface, POINTS, |_| true);
    let reach_m = ON_PLANE_SHARE * surface.diagonal_m();
    if !is_ragged {
        return parts_within(&points, edge, reach_m);
    }
    let mut wide = parts_within(&points, edge, TORN_REACHES * reach_m);
    if wide
        .first()
        .is_some_and(|part| part.half_m > TORN_SHARE * reach_m)
    {
        for part in &mut wide {
            part.reach_m = reach_m;
        }
        return wide;
    }
    parts_within(&points, edge, reach_m)
}

fn parts_within(points: &[Vec3], edge: &[Vec3], reach_m: f64) -> Vec<FlatPart> {
    let mut parts: Vec<FlatPart> = Vec::new();
    let mut left = edge.to_vec();
    while parts.len() < MOST_PARTS
        && left.len() as f64 > REST_SHARE * edge.len() as f64
        && let Some(flat) = flattest(&left, reach_m)
    {
        let (on, off): (Vec<_>, Vec<_>) = left.iter().zip(&flat.on).partition(|(_, on)| **on);
        let share = on.len() as f64 / edge.len() as f64;
        if share
            < if parts.is_empty() {
                HALF_SHARE
            } else {
                REST_SHARE / 2.0
            }
        {
            break;
        }
        let places: Vec<Vec3> = on.into_iter().map(|(p, _)| *p).collect();
        left = off.into_iter().map(|(p, _)| *p).collect();
        if let Some(normal) = away_from(points, &flat, reach_m) {
            let offset_m = flat.offset_m * normal.dot(&flat.normal);
            let heights = places.iter().map(|p| (normal.dot(p) - offset_m).abs());
            let heights: Vec<f64> = heights.collect();
            parts.push(FlatPart {
                half_m: quantile(heights.clone(), 0.5),
                normal,
                offset_m,
                reach_m,
                off_m: quantile(heights, 0.9),
                share,
                middle: places.iter().sum::<Vec3>() / places.len() as f64,
            });
        }
    }
    // Where two parts meet, each point is the nearer one's.
    if let [a, b, ..] = &mut parts[..] {
        let height = |part: &FlatPart, p: &Vec3| (part.normal.dot(p) - part.offset_m).abs();
        let (on_a, on_b): (Vec<Vec3>, Vec<Vec3>) =
            edge.iter().partition(|p| height(a, p) <= height(b, p));
        for (part, on) in [(a, on_a), (b, on_b)] {
            let off = on.iter().map(|p| height(part, p)).collect();
            part.off_m = quantile(off, 0.9);
        }
    }
    parts
}

/// A plane's normal away from the surface, all but strays of which lies on one
/// side of it.
fn away_from(points: &[Vec3], flat: &Flat, reach_m: f64) -> Option<Vec3> {
    let heights = || points.iter().map(|p| flat.normal.dot(p) - flat.offset_m);
    let allowed = STRAY_SHARE * points.len() as f64;
    let over = heights().filter(|h| *h > reach_m).count() as f64;
    let under = heights().filter(|h| *h < -reach_m).count() as f64;
    if over <= allowed {
        Some(flat.normal)
    } else {
        (under <= allowed).then_some(-flat.normal)
    }
}

/// The cut among flat parts: the only one, or one that is clearly flatter than
/// the next.
pub(super) fn cut_of(parts: &[FlatPart]) -> Option<&FlatPart> {
    match parts {
        [] => None,
        [only] => Some(only),
        [a, b, ..] => {
            if CLEARLY_FLATTER * a.off_m < b.off_m {
                Some(a)
            } else if CLEARLY_FLATTER * b.off_m < a.off_m {
                Some(b)
            } else {
                None
            }
        }
    }
}
