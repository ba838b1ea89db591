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

/// What the open edge of half a hull says about its centre plane.
pub(super) enum CentrePlane {
    /// The plane, its normal away from the half that is there, and how near
    /// the edge lies to it, m.
    Found {
        normal: Vec3,
        offset_m: f64,
        reach_m: f64,
    },
    /// No part of the edge is flat with the whole surface on one side.
    None,
    /// Two parts are.
    Two,
}

/// Finds the plane of the cut from points along the longest open edge.
pub(super) fn find_centre_plane(surface: &Surface, edge: &[Vec3]) -> CentrePlane {
    let reach_m = ON_PLANE_SHARE * surface.diagonal_m();
    let points = spread_over(surface, POINTS, |_| true);
    let one_sided = |flat: &Flat| {
        let heights = || points.iter().map(|p| flat.normal.dot(p) - flat.offset_m);
        let over = heights().filter(|h| *h > reach_m).count();
        let under = heights().filter(|h| *h < -reach_m).count();
        let allowed = STRAY_SHARE * points.len() as f64;
        if (over as f64) <= allowed {
            Some((flat.normal, flat.offset_m))
        } else if (under as f64) <= allowed {
            Some((-flat.normal, -flat.offset_m))
        } else {
            None
        }
    };
    let Some(first) = flattest(edge, reach_m).filter(|flat| flat.share >= HALF_SHARE) else {
        return CentrePlane::None;
    };
    let left: Vec<Vec3> = edge
        .iter()
        .zip(&first.on)
        .filter(|(_, on)| !**on)
        .map(|(p, _)| *p)
        .collect();
    let rest_matters = left.len() as f64 > REST_SHARE * edge.len() as f64;
    let second = flattest(&left, reach_m).filter(|_| rest_matters);
    let found = |(normal, offset_m)| CentrePlane::Found {
        normal,
        offset_m,
        reach_m,
    };
    match (one_sided(&first), second.as_ref().and_then(one_sided)) {
        (Some(a), Some(b)) => {
            // Both the cut and the rim may pass for flat: the cut is truly so.
            let height = |(n, d): &(Vec3, f64), p: &Vec3| (n.dot(p) - d).abs();
            let (on_a, on_b): (Vec<Vec3>, Vec<Vec3>) =
                edge.iter().partition(|p| height(&a, p) <= height(&b, p));
            let off = |plane: &(Vec3, f64), points: &[Vec3]| {
                quantile(points.iter().map(|p| height(plane, p)).collect(), 0.9)
            };
            let (off_a, off_b) = (off(&a, &on_a), off(&b, &on_b));
            if CLEARLY_FLATTER * off_a < off_b {
                found(a)
            } else if CLEARLY_FLATTER * off_b < off_a {
                found(b)
            } else {
                CentrePlane::Two
            }
        }
        (Some(plane), None) | (None, Some(plane)) => found(plane),
        (None, None) => CentrePlane::None,
    }
}
