//! Thin walls of laminate: their solid, and what they weigh.
use super::file::{Skin, Wall, point_m};
use crate::mesh::{Surface, solids};
use crate::numerics::Vec3;

/// Longest mitre at a corner of a wall, in half thicknesses: past it the
/// corner is cut off.
const LONGEST_MITRE: f64 = 4.0;

/// The closed solid of a wall, and how many of its faces, the first, are its
/// open top: none where the wall is a sheet, all of the top where it goes round
/// and the solid is what it encloses.
pub(super) fn wall_solid(wall: &Wall, thickness_m: f64) -> (Surface, usize) {
    let foot: Vec<Vec3> = wall.foot.iter().map(point_m).collect();
    if wall.closed {
        let top = foot.len() - 2;
        (standing_on(foot, wall.height.value), top)
    } else {
        let round = both_sides(&foot, thickness_m);
        (standing_on(round, wall.height.value), 0)
    }
}

/// Mass of a wall, kg, and its centre, m: a strip as long as its foot in plan
/// and as high as the wall, also where the foot slopes.
pub(super) fn wall_mass(wall: &Wall, skin: &Skin, at: &Vec3) -> (f64, Vec3) {
    let foot: Vec<Vec3> = wall.foot.iter().map(point_m).collect();
    let sides = if wall.closed {
        foot.len()
    } else {
        foot.len() - 1
    };
    let (mut length, mut moment) = (0.0, Vec3::zeros());
    for side in 0..sides {
        let (a, b) = (foot[side], foot[(side + 1) % foot.len()]);
        let long = (b - a).xy().norm();
        length += long;
        moment += (a + b) * (long / 2.0);
    }
    let mass_kg = length * wall.height.value * skin.thickness.value * skin.density.value;
    let up = Vec3::z() * (wall.height.value / 2.0);
    (mass_kg, moment / length + up + at)
}

/// The prism that stands on a ring of points; its first faces are the top's.
fn standing_on(mut ring: Vec<Vec3>, height_m: f64) -> Surface {
    let count = ring.len();
    let double_area: f64 = (0..count)
        .map(|i| ring[i].xy().perp(&ring[(i + 1) % count].xy()))
        .sum();
    // As the prism wants it, so that its vertices keep this order.
    if double_area < 0.0 {
        ring.reverse();
    }
    let plan: Vec<[f64; 2]> = ring.iter().map(|p| [p.x, p.y]).collect();
    let mut solid = solids::prism_along_x(&plan, 0.0, height_m);
    for (v, foot) in solid.vertices.iter_mut().zip(ring.iter().cycle()) {
        *v = foot + Vec3::z() * v.x;
    }
    solid
}

/// Along one side of a line and back along the other, half a thickness off,
/// mitred at the corners.
fn both_sides(line: &[Vec3], thickness_m: f64) -> Vec<Vec3> {
    let left = |a: &Vec3, b: &Vec3| {
        let along = (b - a).xy().normalize();
        Vec3::new(-along.y, along.x, 0.0)
    };
    let last = line.len() - 1;
    let offsets: Vec<Vec3> = (0..=last)
        .map(|k| {
            let before = (k > 0).then(|| left(&line[k - 1], &line[k]));
            let after = (k < last).then(|| left(&line[k], &line[k + 1]));
            let across = match (before, after) {
                (Some(before), Some(after)) => {
                    let both = before + after;
                    (both * (2.0 / both.norm_squared())).cap_magnitude(LONGEST_MITRE)
                }
                (one, other) => one.or(other).unwrap_or_default(),
            };
            across * (thickness_m / 2.0)
        })
        .collect();
    let one = line.iter().zip(&offsets).map(|(p, off)| p + off);
    let other = line.iter().zip(&offsets).map(|(p, off)| p - off);
    one.chain(other.rev()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Quantity;

    fn wall(foot: &[[f64; 3]], closed: bool) -> Wall {
        Wall {
            foot: foot.iter().map(|p| p.map(Quantity::exact)).collect(),
            height: Quantity::exact(0.2),
            closed,
        }
    }

    fn skin() -> Skin {
        Skin {
            thickness: Quantity::exact(0.002),
            density: Quantity::exact(1500.0),
        }
    }

    /// A line and the same line from its other end.
    fn both_ways<const N: usize>(mut foot: [[f64; 3]; N]) -> [[[f64; 3]; N]; 2] {
        let given = foot;
        foot.reverse();
        [given, foot]
    }

    /// An L of 1 m and 0.5 m in plan: mitred, its area is length × thickness.
    /// The middles of its sides are (0.5, 0, 0.35) and (1, 0.25, 0.4).
    #[test]
    fn a_bent_sheet_has_its_length_height_and_thickness() {
        for foot in both_ways([[0.0, 0.0, 0.3], [1.0, 0.0, 0.4], [1.0, 0.5, 0.4]]) {
            let wall = wall(&foot, false);
            let (solid, top) = wall_solid(&wall, 0.002);
            assert_eq!(top, 0);
            assert!(solid.is_balanced());
            assert!((solid.signed_volume_m3() - 1.5 * 0.2 * 0.002).abs() < 1e-12);
            let (mass, centre) = wall_mass(&wall, &skin(), &Vec3::new(0.0, 0.0, 1.0));
            assert!((mass - 1.5 * 0.2 * 3.0).abs() < 1e-12);
            let middle = (Vec3::new(0.5, 0.0, 0.35) + Vec3::new(1.0, 0.25, 0.4) * 0.5) / 1.5;
            let wanted = middle + Vec3::z() * (0.1 + 1.0);
            assert!((centre - wanted).norm() < 1e-12, "{centre}");
        }
    }

    /// Round a square of 1 m whose feet lie on a slope: what it encloses is
    /// area × height, and its first faces are the top.
    #[test]
    fn a_closed_wall_encloses_a_prism_with_its_top_first() {
        for foot in both_ways([
            [0.0, 0.0, 0.0],
            [1.0, 0.0, 0.1],
            [1.0, 1.0, 0.1],
            [0.0, 1.0, 0.0],
        ]) {
            let wall = wall(&foot, true);
            let (solid, top) = wall_solid(&wall, 0.002);
            assert!(solid.is_balanced());
            assert!((solid.signed_volume_m3() - 0.2).abs() < 1e-12);
            assert_eq!(top, 2);
            let mut over_slope = (0..top)
                .flat_map(|face| solid.corners(face))
                .map(|v| v.z - 0.1 * v.x);
            assert!(over_slope.all(|z| (z - 0.2).abs() < 1e-12));
            let (mass, centre) = wall_mass(&wall, &skin(), &Vec3::zeros());
            assert!((mass - 4.0 * 0.2 * 3.0).abs() < 1e-12);
            let wanted = Vec3::new(0.5, 0.5, 0.15);
            assert!((centre - wanted).norm() < 1e-12, "{centre}");
        }
    }
}
