//! A sheet laid flat, as it is cut from cloth or ply before it is bent.
use std::collections::{HashMap, VecDeque};

use nalgebra::Vector2;

use super::border::border_loops;
use super::surface::Surface;
use crate::numerics::Vec3;

/// A face lower than this share of its longest side is none: there the sheet is parted.
const NO_HEIGHT: f64 = 1e-9;
/// Share of their length by which edges may differ before the sheet is eased.
const ROUNDING: f64 = 1e-7;
/// Rounds in which a sheet that bends both ways is eased, forward and back.
const ROUNDS: usize = 2000;
/// Of the edges' whole length the share by which a strain is judged: the shortest corners of
/// a rim tell nothing.
const MOST_EDGES: f64 = 0.99;

/// A sheet laid flat.
#[derive(Debug, Clone)]
pub struct Unrolled {
    /// Where the surface's vertices lie, in their order, m; those of no face at nought.
    pub places: Vec<Vector2<f64>>,
    /// The border as loops of vertices.
    pub border: Vec<Vec<u32>>,
    /// By how much of its length an edge differs from what it was, 1 % of the edges' whole
    /// length left out: nothing where the sheet bends one way only.
    pub strain: f64,
}

/// Lays a sheet flat, its outside up, the first side of its first face to the right: face by
/// face about their edges, which is exact where it bends one way only. One that bends both
/// ways begins as it is seen along two `axes`, to the right and up, instead, and is eased
/// until its edges differ as little as rounds of pulling at them make it. `None` where its
/// faces do not hang together by their edges.
#[must_use]
pub fn unroll(surface: &Surface, axes: Option<[Vec3; 2]>) -> Option<Unrolled> {
    let is_face = |face: &usize| {
        let [a, b, c] = surface.corners(*face);
        let longest = (b - a).norm().max((c - b).norm()).max((a - c).norm());
        2.0 * surface.face_area_m2(*face) > NO_HEIGHT * longest * longest
    };
    let faces: Vec<usize> = (0..surface.faces.len()).filter(is_face).collect();
    let mut by_edge: HashMap<[u32; 2], usize> = HashMap::new();
    for &face in &faces {
        let [a, b, c] = surface.faces[face];
        by_edge.extend([[a, b], [b, c], [c, a]].map(|edge| (edge, face)));
    }
    let mut places: Vec<Option<Vector2<f64>>> = vec![None; surface.vertices.len()];
    let place = |v: u32| surface.vertices[v as usize];
    let first = *faces.first()?;
    let [a, b, _] = surface.faces[first];
    places[a as usize] = Some(Vector2::zeros());
    places[b as usize] = Some(Vector2::new((place(b) - place(a)).norm(), 0.0));
    let mut seen = vec![false; surface.faces.len()];
    seen[first] = true;
    let mut next = VecDeque::from([(first, [a, b])]);
    while let Some((face, [a, b])) = next.pop_front() {
        let third = surface.faces[face]
            .into_iter()
            .find(|v| *v != a && *v != b)?;
        let (from, to) = (places[a as usize]?, places[b as usize]?);
        if places[third as usize].is_none() {
            places[third as usize] = Some(beside(from, to, [a, b, third].map(place)));
        }
        // On over the face's other two sides, and from the first over all of them.
        for edge in [[a, b], [b, third], [third, a]] {
            if let Some(&other) = by_edge.get(&[edge[1], edge[0]])
                && !std::mem::replace(&mut seen[other], true)
            {
                next.push_back((other, [edge[1], edge[0]]));
            }
        }
    }
    if faces.iter().any(|face| !seen[*face]) {
        return None;
    }
    let edges = faces.iter().flat_map(|&face| {
        let [a, b, c] = surface.faces[face];
        [[a, b], [b, c], [c, a]]
    });
    // Each once, in the order of the faces.
    let edges = edges.filter(|[a, b]| a < b || !by_edge.contains_key(&[*b, *a]));
    let edges: Vec<([usize; 2], f64)> = edges
        .map(|edge| {
            (
                edge.map(|v| v as usize),
                (place(edge[1]) - place(edge[0])).norm(),
            )
        })
        .collect();
    let mut places: Vec<Vector2<f64>> = places.into_iter().map(Option::unwrap_or_default).collect();
    if strain(&places, &edges) > ROUNDING {
        if let Some([right, up]) = axes {
            let seen = surface.vertices.iter();
            places = seen
                .map(|p| Vector2::new(right.dot(p), up.dot(p)))
                .collect();
        }
        ease(&mut places, &edges);
    }
    let sound = Surface {
        vertices: surface.vertices.clone(),
        faces: faces.iter().map(|&face| surface.faces[face]).collect(),
    };
    Some(Unrolled {
        strain: strain(&places, &edges),
        border: border_loops(&sound)?,
        places,
    })
}

/// The third corner of a face whose first two lie there, to their left.
fn beside(from: Vector2<f64>, to: Vector2<f64>, [a, b, third]: [Vec3; 3]) -> Vector2<f64> {
    let side = (b - a).norm();
    let along = (third - a).dot(&(b - a)) / side;
    let up = (third - a).cross(&(b - a)).norm() / side;
    let ahead = (to - from).normalize();
    from + ahead * along + Vector2::new(-ahead.y, ahead.x) * up
}

fn strain(places: &[Vector2<f64>], edges: &[([usize; 2], f64)]) -> f64 {
    let off = edges.iter().map(|([a, b], length)| {
        let flat = (places[*b] - places[*a]).norm();
        ((flat / length - 1.0).abs(), *length)
    });
    let mut off: Vec<(f64, f64)> = off.filter(|(off, _)| off.is_finite()).collect();
    off.sort_by(|a, b| a.0.total_cmp(&b.0));
    let most = MOST_EDGES * off.iter().map(|(_, length)| length).sum::<f64>();
    let mut sum = 0.0;
    let within = off.iter().take_while(|(_, length)| {
        sum += length;
        sum <= most
    });
    within.last().map_or(0.0, |(off, _)| *off)
}

/// Pulls each edge's ends to its length in turn.
fn ease(places: &mut [Vector2<f64>], edges: &[([usize; 2], f64)]) {
    let mut pull = |&([a, b], length): &([usize; 2], f64)| {
        let between = places[b] - places[a];
        let flat = between.norm();
        if flat > 0.0 {
            let by = between * ((flat - length) / flat / 2.0);
            places[a] += by;
            places[b] -= by;
        }
    };
    for _ in 0..ROUNDS {
        edges.iter().for_each(&mut pull);
        edges.iter().rev().for_each(&mut pull);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids::strip_through;

    /// A quarter of a cylinder's side: as long as its chords, as broad as it is high. Derived
    /// in closed form.
    #[test]
    fn a_bent_sheet_is_as_long_as_its_chords() {
        let (sides, radius, height) = (16, 0.5, 0.3);
        let ring = |z: f64| -> Vec<Vec3> {
            let turn = std::f64::consts::FRAC_PI_2 / f64::from(sides);
            let angles = (0..=sides).map(|k| turn * f64::from(k));
            angles
                .map(|a| Vec3::new(radius * a.cos(), radius * a.sin(), z))
                .collect()
        };
        let mut sheet = strip_through(&[&ring(0.0), &ring(height)]);
        // Not back from its last side to its first.
        sheet.faces.truncate(2 * sides as usize);
        let flat = unroll(&sheet, None).unwrap();
        assert!(flat.strain < 1e-12);
        let chord = 2.0 * radius * (std::f64::consts::FRAC_PI_4 / f64::from(sides)).sin();
        let end = flat.places[sides as usize];
        let wanted = Vector2::new(chord * f64::from(sides), 0.0);
        assert!((end - wanted).norm() < 1e-12, "{end}");
        let over = flat.places[2 * sides as usize + 1];
        assert!(
            (over - wanted - Vector2::new(0.0, height)).norm() < 1e-12,
            "{over}"
        );
    }

    /// No sheet of a ball lies flat; what is left of it is told.
    #[test]
    fn a_sheet_that_bends_both_ways_is_eased_and_told() {
        let (count, size, radius) = (8_u32, 0.2, 1.0_f64);
        let at = |k: u32| (f64::from(k) / f64::from(count) - 0.5) * size;
        let mut sheet = Surface::default();
        for i in 0..=count {
            for j in 0..=count {
                let (x, y) = (at(i), at(j));
                let z = (radius * radius - x * x - y * y).sqrt();
                sheet.vertices.push(Vec3::new(x, y, z));
            }
        }
        for i in 0..count {
            for j in 0..count {
                let a = i * (count + 1) + j;
                let [b, c, d] = [a + count + 1, a + 1, a + count + 2];
                sheet.faces.extend([[a, b, d], [a, d, c]]);
            }
        }
        let flat = unroll(&sheet, Some([Vec3::x(), Vec3::y()])).unwrap();
        // A disk of radius r on a ball differs by about r²/(6 R²) round its edge: half of
        // that either way is the least that can be.
        assert!(flat.strain > 1e-4 && flat.strain < 4e-3, "{}", flat.strain);
    }
}
