//! Bytes of STL files, right and wrong.
use std::fmt::Write as _;

use awash::mesh::{Surface, solids};
use awash::numerics::Vec3;

/// Three corners, in the file's unit.
pub(crate) type Facet = [[f32; 3]; 3];

/// The facets of a box 2 m long, 1 m broad and 0.5 m high, keel at z = 0, all
/// numbers exact in single precision. Under z = 0.25 m lie 0.5 m³.
pub(crate) fn box_facets() -> Vec<Facet> {
    facets_of(&solids::cuboid(
        Vec3::new(0.0, -0.5, 0.0),
        Vec3::new(2.0, 0.5, 0.5),
    ))
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "STL holds single precision"
)]
pub(crate) fn facets_of(surface: &Surface) -> Vec<Facet> {
    (0..surface.faces.len())
        .map(|face| {
            surface
                .corners(face)
                .map(|corner| [corner.x as f32, corner.y as f32, corner.z as f32])
        })
        .collect()
}

/// Moves every corner.
pub(crate) fn mapped(facets: &[Facet], change: impl Fn([f32; 3]) -> [f32; 3]) -> Vec<Facet> {
    facets.iter().map(|facet| facet.map(&change)).collect()
}

/// Facets with the other side out.
pub(crate) fn turned(facets: &[Facet]) -> Vec<Facet> {
    facets.iter().map(|[a, b, c]| [*a, *c, *b]).collect()
}

/// A binary STL whose header says how many facets it holds.
pub(crate) fn binary(facets: &[Facet]) -> Vec<u8> {
    let count = u32::try_from(facets.len()).expect("few facets");
    binary_claiming(facets, count)
}

/// A binary STL whose header says `claimed` facets.
pub(crate) fn binary_claiming(facets: &[Facet], claimed: u32) -> Vec<u8> {
    let mut bytes = vec![b' '; 80];
    bytes.extend(claimed.to_le_bytes());
    for facet in facets {
        bytes.extend([0; 12]);
        for value in facet.iter().flatten() {
            bytes.extend(value.to_le_bytes());
        }
        bytes.extend([0; 2]);
    }
    bytes
}

/// A text STL of one solid.
pub(crate) fn text(facets: &[Facet]) -> String {
    let mut text = String::from("solid hull\n");
    for facet in facets {
        text.push_str(&text_facet(facet));
    }
    text.push_str("endsolid hull\n");
    text
}

/// One facet of a text STL with as many vertices as there are corners.
pub(crate) fn text_facet(corners: &[[f32; 3]]) -> String {
    let mut text = String::from("facet normal 0 0 0\n outer loop\n");
    for [x, y, z] in corners {
        writeln!(text, "  vertex {x:?} {y:?} {z:?}").expect("memory");
    }
    text.push_str(" endloop\nendfacet\n");
    text
}
