//! Where a plane cuts a surface, as lines to draw.
use std::collections::HashMap;

use rayon::prelude::*;

use super::shown::SectionPlane;
use crate::immersion::WaterPlane;
use crate::mesh::Surface;
use crate::numerics::Vec3;

/// Faces that one thread looks at by itself.
const FACES_ALONE: usize = 1 << 13;

/// The lines of one cut, boat frame, m.
#[derive(Debug, Clone, Default)]
pub struct Cut {
    /// Closed lines; the first point is not repeated.
    pub loops: Vec<Vec<Vec3>>,
    /// Lines that end at an edge of the surface.
    pub open: Vec<Vec<Vec3>>,
}

/// The lines along which a plane cuts the first `faces` faces of a surface, by
/// the kernel's rule: a corner is wet where its height is negative, strictly, so
/// a closed surface gives closed lines whatever the plane passes through.
#[must_use]
pub fn cut(surface: &Surface, faces: usize, plane: &WaterPlane) -> Cut {
    let heights: Vec<f64> = surface
        .vertices
        .par_iter()
        .with_min_len(FACES_ALONE)
        .map(|vertex| plane.height_m(vertex))
        .collect();
    let wet = |vertex: u32| heights[vertex as usize] < 0.0;
    let crossings: Vec<[(u32, u32); 2]> = surface.faces[..faces.min(surface.faces.len())]
        .par_iter()
        .with_min_len(FACES_ALONE)
        .filter_map(|face| {
            let mut edges = (0..3)
                .map(|k| (face[k], face[(k + 1) % 3]))
                .filter(|(a, b)| wet(*a) != wet(*b))
                .map(|(a, b)| (a.min(b), a.max(b)));
            Some([edges.next()?, edges.next()?])
        })
        .collect();
    let point = |(a, b): (u32, u32)| {
        let (ha, hb) = (heights[a as usize], heights[b as usize]);
        let (pa, pb) = (surface.vertices[a as usize], surface.vertices[b as usize]);
        pa + (pb - pa) * (ha / (ha - hb))
    };
    chained(&crossings, point)
}

/// The lines along which a section's plane cuts the first `faces` faces.
#[must_use]
pub fn section(surface: &Surface, faces: usize, section: &SectionPlane) -> Cut {
    let plane = WaterPlane {
        up: Vec3::ith(section.axis.min(2), 1.0),
        level_m: section.at_m,
    };
    cut(surface, faces, &plane)
}

/// Joins segments that share an end into lines.
fn chained(segments: &[[(u32, u32); 2]], point: impl Fn((u32, u32)) -> Vec3) -> Cut {
    let mut at: HashMap<(u32, u32), Vec<usize>> = HashMap::with_capacity(segments.len());
    for (index, [a, b]) in segments.iter().enumerate() {
        at.entry(*a).or_default().push(index);
        at.entry(*b).or_default().push(index);
    }
    let mut used = vec![false; segments.len()];
    let mut lines = Cut::default();
    // Loose ends first, so that an open line is walked from its end.
    let starts = (0..segments.len())
        .filter(|i| segments[*i].iter().any(|node| at[node].len() == 1))
        .chain(0..segments.len());
    for first in starts {
        if used[first] {
            continue;
        }
        let [a, b] = segments[first];
        let (from, mut to) = if at[&b].len() == 1 { (b, a) } else { (a, b) };
        used[first] = true;
        let mut line = vec![point(from), point(to)];
        while to != from {
            let Some(&next) = at[&to].iter().find(|segment| !used[**segment]) else {
                break;
            };
            used[next] = true;
            let [a, b] = segments[next];
            to = if a == to { b } else { a };
            line.push(point(to));
        }
        if to == from {
            line.pop();
            lines.loops.push(line);
        } else {
            lines.open.push(line);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;

    #[test]
    fn a_box_is_cut_along_one_closed_rectangle() {
        let cube = solids::cuboid(Vec3::zeros(), Vec3::new(3.0, 2.0, 1.0));
        let plane = WaterPlane::at_attitude(0.0, 0.0, 0.25);
        let lines = cut(&cube, cube.faces.len(), &plane);
        assert_eq!((lines.loops.len(), lines.open.len()), (1, 0));
        let around: f64 = ring_length(&lines.loops[0]);
        assert!((around - 10.0).abs() < 1e-12);
        assert!(lines.loops[0].iter().all(|p| (p.z - 0.25).abs() < 1e-15));
    }

    #[test]
    fn without_its_last_faces_the_line_is_open() {
        let cube = solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0));
        let plane = WaterPlane::at_attitude(0.0, 0.0, 0.5);
        let lines: Vec<Cut> = (0..=12).map(|faces| cut(&cube, faces, &plane)).collect();
        assert!(lines.iter().any(|cut| !cut.open.is_empty()));
        assert!(lines[12].open.is_empty());
    }

    #[test]
    fn a_plane_through_corners_still_closes() {
        let cube = solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0));
        let plane = WaterPlane::at_attitude(45.0, 0.0, 0.0);
        let lines = cut(&cube, cube.faces.len(), &plane);
        assert!(lines.open.is_empty());
    }

    fn ring_length(ring: &[Vec3]) -> f64 {
        let next = ring.iter().cycle().skip(1);
        ring.iter().zip(next).map(|(a, b)| (b - a).norm()).sum()
    }
}
