//! Cutting a surface along planes.
use std::collections::HashMap;

use schemars::JsonSchema;
use serde::Serialize;

use super::super::doubt::id;
use super::super::surface::Surface;
use super::super::topology::{Topology, ends, open_edge_vertices};
use crate::numerics::Vec3;

/// What is kept of a mesh, in the boat frame; sides left out do not cut, m.
#[derive(Debug, Clone, Copy, PartialEq, Default, JsonSchema, Serialize)]
pub struct Crop {
    /// Least x, y, z.
    pub least: [Option<f64>; 3],
    /// Greatest x, y, z.
    pub greatest: [Option<f64>; 3],
}

impl Crop {
    /// Whether nothing is cut off.
    #[must_use]
    pub fn is_nothing(&self) -> bool {
        self.least.iter().chain(&self.greatest).all(Option::is_none)
    }

    /// Cuts off what lies outside, but for places that lie outside by no more than
    /// `shallow_m`: noise on a flat bottom goes past a cut beside it in a hundred places.
    pub(super) fn apply(&self, surface: &mut Surface, shallow_m: f64) {
        for axis in 0..3 {
            let normal = Vec3::ith(axis, 1.0);
            let ends = [
                self.greatest[axis].map(|most| (normal, most)),
                self.least[axis].map(|least| (-normal, -least)),
            ];
            for (normal, offset_m) in ends.into_iter().flatten() {
                let mut past_m = heights(surface, &normal, offset_m);
                forgive(&surface.faces, &mut past_m, shallow_m);
                cut_where_past(surface, &past_m);
            }
        }
    }
}

/// Takes places that are connected and all lie past a plane by no more than `shallow_m` to
/// lie on it.
fn forgive(faces: &[[u32; 3]], past_m: &mut [f64], shallow_m: f64) {
    if shallow_m <= 0.0 {
        return;
    }
    // Each corner leads to one of its own place's with the least number.
    let mut leads: Vec<u32> = (0..id(past_m.len())).collect();
    let first = |leads: &mut [u32], mut v: u32| {
        while leads[v as usize] != v {
            leads[v as usize] = leads[leads[v as usize] as usize];
            v = leads[v as usize];
        }
        v
    };
    for &[a, b, c] in faces {
        for (a, b) in [(a, b), (b, c), (c, a)] {
            if past_m[a as usize] > 0.0 && past_m[b as usize] > 0.0 {
                let (a, b) = (first(&mut leads, a), first(&mut leads, b));
                leads[a.max(b) as usize] = a.min(b);
            }
        }
    }
    let mut deepest_m = vec![0.0_f64; past_m.len()];
    for (v, past_m) in past_m.iter().enumerate() {
        let to = first(&mut leads, id(v)) as usize;
        deepest_m[to] = deepest_m[to].max(*past_m);
    }
    for (v, past_m) in past_m.iter_mut().enumerate() {
        if *past_m > 0.0 && deepest_m[first(&mut leads, id(v)) as usize] <= shallow_m {
            *past_m = 0.0;
        }
    }
}

fn heights(surface: &Surface, normal: &Vec3, offset_m: f64) -> Vec<f64> {
    let corners = surface.vertices.iter();
    corners.map(|v| normal.dot(v) - offset_m).collect()
}

/// Keeps what lies where `normal · x ≤ offset`; faces across are cut, and
/// neighbours share the new corners, which lie on the plane.
pub(super) fn keep_below(surface: &mut Surface, normal: &Vec3, offset_m: f64) {
    let height = heights(surface, normal, offset_m);
    cut_where_past(surface, &height);
}

/// Keeps what lies where the height of each corner, as given, is not over zero.
fn cut_where_past(surface: &mut Surface, height: &[f64]) {
    let mut made: HashMap<(u32, u32), u32> = HashMap::new();
    let mut faces = Vec::with_capacity(surface.faces.len());
    let mut corners: Vec<u32> = Vec::with_capacity(4);
    for face in std::mem::take(&mut surface.faces) {
        if face.iter().all(|v| height[*v as usize] <= 0.0) {
            faces.push(face);
            continue;
        }
        corners.clear();
        for k in 0..3 {
            let (a, b) = (face[k], face[(k + 1) % 3]);
            let (here, there) = (height[a as usize], height[b as usize]);
            if here <= 0.0 {
                corners.push(a);
            }
            if (here < 0.0 && there > 0.0) || (here > 0.0 && there < 0.0) {
                let edge = (a.min(b), a.max(b));
                let vertices = &mut surface.vertices;
                corners.push(*made.entry(edge).or_insert_with(|| {
                    let [low, high] = [edge.0, edge.1].map(|v| v as usize);
                    let share = height[low] / (height[low] - height[high]);
                    let (p, q) = (vertices[low], vertices[high]);
                    vertices.push(p + (q - p) * share);
                    id(vertices.len() - 1)
                }));
            }
        }
        for k in 2..corners.len() {
            faces.push([corners[0], corners[k - 1], corners[k]]);
        }
    }
    surface.faces = faces;
    surface.drop_unused_vertices();
}

/// The part of a closed surface where `normal · x ≤ offset`, closed along the cut
/// by triangles that all meet in one point of it. Their areas and volumes have
/// signs that cancel where they overlap: its integrals are exact, its looks are
/// not.
#[must_use]
pub fn part_below(surface: &Surface, normal: &Vec3, offset_m: f64) -> Surface {
    let mut part = surface.clone();
    keep_below(&mut part, normal, offset_m);
    let topology = Topology::of(&part);
    let open: Vec<(u32, u32)> = topology
        .boundary(&part.faces)
        .into_iter()
        .map(|half_edge| ends(&part.faces, half_edge))
        .collect();
    if let Some(&(apex, _)) = open.first() {
        let lid = open.iter().filter(|(a, b)| *a != apex && *b != apex);
        part.faces.extend(lid.map(|&(a, b)| [apex, b, a]));
    }
    part
}

/// Adds the mirror image across a plane; vertices of open edges within
/// `reach_m` of it are drawn onto it and shared.
pub(super) fn add_mirror_image(surface: &mut Surface, normal: &Vec3, offset_m: f64, reach_m: f64) {
    let mut on_plane = vec![false; surface.vertices.len()];
    for v in open_edge_vertices(surface) {
        let place = &mut surface.vertices[v as usize];
        let off = normal.dot(place) - offset_m;
        if off.abs() <= reach_m {
            *place -= normal * off;
            on_plane[v as usize] = true;
        }
    }
    let mut image_of = Vec::with_capacity(on_plane.len());
    for (v, on_plane) in on_plane.into_iter().enumerate() {
        if on_plane {
            image_of.push(id(v));
            continue;
        }
        let p = surface.vertices[v];
        let image = p - normal * (2.0 * (normal.dot(&p) - offset_m));
        image_of.push(id(surface.vertices.len()));
        surface.vertices.push(image);
    }
    let images: Vec<[u32; 3]> = surface
        .faces
        .iter()
        .map(|&[a, b, c]| [a, c, b].map(|v| image_of[v as usize]))
        .collect();
    surface.faces.extend(images);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::{PrepareOptions, prepare, solids};

    #[test]
    fn half_a_ball_mirrored_is_the_ball_again() {
        let ball = solids::icosphere(Vec3::zeros(), 1.0, 3);
        let normal = Vec3::new(0.3, 0.5, 0.8).normalize();
        let mut half = ball.clone();
        keep_below(&mut half, &normal, 0.0);
        assert!(half.area_m2() < 0.51 * ball.area_m2());
        add_mirror_image(&mut half, &normal, 0.0, 1e-9);
        assert!(half.is_balanced());
        let whole = prepare(half, &PrepareOptions::default());
        assert!(whole.loops.is_empty());
        let off = whole.surface.signed_volume_m3() / ball.signed_volume_m3() - 1.0;
        // The ball's facets do not mirror exactly in this plane.
        assert!(off.abs() < 2e-3, "{off}");
    }

    #[test]
    fn a_part_below_a_plane_is_closed_and_has_its_volume() {
        // A frame of four bars: the cut has two loops.
        let outer = solids::cuboid(Vec3::zeros(), Vec3::new(3.0, 3.0, 1.0));
        let mut hole = solids::cuboid(Vec3::new(1.0, 1.0, 0.0), Vec3::new(2.0, 2.0, 1.0));
        hole.flip();
        let mut frame = outer;
        frame.append(&hole);
        let part = part_below(&frame, &Vec3::x(), 1.5);
        assert!((part.signed_volume_m3() - 4.0).abs() < 1e-12);
        assert!(part.is_balanced());
        let normal = Vec3::new(0.2, 0.3, 0.9).normalize();
        let (lower, upper) = (
            part_below(&frame, &normal, 1.0),
            part_below(&frame, &-normal, -1.0),
        );
        let sum = lower.signed_volume_m3() + upper.signed_volume_m3();
        assert!((sum - 8.0).abs() < 1e-12);
        let centre = lower.volume_centroid_m() * lower.signed_volume_m3()
            + upper.volume_centroid_m() * upper.signed_volume_m3();
        assert!((centre / 8.0 - Vec3::new(1.5, 1.5, 0.5)).norm() < 1e-12);
    }

    #[test]
    fn a_crop_cuts_at_its_planes() {
        let mut cube = solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0));
        let crop = Crop {
            least: [Some(0.25), None, None],
            greatest: [None, None, Some(0.5)],
        };
        crop.apply(&mut cube, 0.0);
        let (lo, hi) = cube.bounds().unwrap();
        assert_eq!(
            (lo, hi),
            (Vec3::new(0.25, 0.0, 0.0), Vec3::new(1.0, 1.0, 0.5))
        );
        // Bottom, three sides: 0.75 + 2 · 0.375 + 0.5.
        assert!((cube.area_m2() - 2.0).abs() < 1e-12);
    }

    /// A plate of noise at a crop's plane keeps what goes past it by little, and loses what
    /// reaches deep.
    #[test]
    fn what_lies_past_a_crop_by_noise_stays() {
        let mut plate = solids::cuboid(Vec3::new(0.0, 0.0, 0.0), Vec3::new(1.0, 1.0, 0.2));
        for _ in 0..3 {
            plate = solids::quartered(plate);
        }
        let corner = |v: &Vec3, x: f64| (v - Vec3::new(x, 0.5, 0.0)).norm() < 1e-9;
        let mut moved = 0;
        for v in &mut plate.vertices {
            let by_m = if corner(v, 0.25) {
                0.002
            } else if corner(v, 0.75) {
                0.3
            } else {
                continue;
            };
            v.z -= by_m;
            moved += 1;
        }
        assert_eq!(moved, 2);
        let crop = Crop {
            least: [None, None, Some(0.0)],
            ..Crop::default()
        };
        crop.apply(&mut plate, 0.005);
        let lowest = plate.bounds().unwrap().0.z;
        assert!((lowest + 0.002).abs() < 1e-12, "{lowest}");
        assert_eq!(super::super::super::check::examine(&plate).loops.len(), 1);
    }
}
