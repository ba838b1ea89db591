//! What runs along the outside of the hull: sponsons and skegs, closed solids that reach
//! into it.
use std::f64::consts::TAU;

use nalgebra::Vector2;

use super::{CannotBuild, just_inside};
use crate::boat::envelope::Envelope;
use crate::boat::file::{Skeg, Sponson, SponsonSection, SponsonSides};
use crate::mesh::{Section, Slicer, Surface, solids};
use crate::numerics::Vec3;
use crate::quantity::Quantity;

/// Lengths into which such a part is cut, between each two of which it is straight: halved
/// further, so many times at most, where the skin between them bends by more than this, m.
const BAYS: usize = 64;
const HALVED: usize = 5;
const STRAIGHT_M: f64 = 5e-6;
/// Sides of a tube's section, whose area is the circle's.
const SIDES: u32 = 64;
/// How far a part reaches into the hull, m: enough for a joint that no rounding parts. Ours.
const INTO_M: f64 = 0.01;
/// A part that ends within this past the hull's own end, m, ends with the hull. Ours.
const AT_END_M: f64 = 0.001;

/// The solid of a sponson, one piece a side, m.
///
/// # Errors
/// [`CannotBuild`] where the hull has no such side.
pub(in crate::boat) fn sponson(hull: &Envelope, given: &Sponson) -> Result<Surface, CannotBuild> {
    let slicer = Slicer::of(&hull.surface);
    let sides: &[f64] = match given.sides {
        SponsonSides::Port => &[1.0],
        SponsonSides::Starboard => &[-1.0],
        SponsonSides::Both => &[1.0, -1.0],
    };
    let mut solid = Surface::default();
    for &side in sides {
        let rings = along(hull, given.ends, |x_m, measured_m| {
            let section = slicer.section(0, measured_m);
            sponson_ring(hull, &section, x_m, given, side)
        });
        solid.append(&lofted(&rings?));
    }
    Ok(solid)
}

/// The section of a sponson at a station.
fn sponson_ring(
    hull: &Envelope,
    section: &Section,
    x_m: f64,
    given: &Sponson,
    side: f64,
) -> Result<Vec<Vec3>, CannotBuild> {
    let (middle, offset) = (given.middle.value, given.offset.value);
    let (width, half) = (given.width.value, given.height.value / 2.0);
    // How far out the skin lies at a height.
    let out = |z_m: f64| {
        let reach = reach(hull, section, 2, z_m, Vector2::new(side, 0.0));
        reach.ok_or(CannotBuild::NoSide {
            side: if side > 0.0 { "port" } else { "starboard" },
            x_m,
            z_m,
        })
    };
    let skin = out(middle)?;
    let flat: Vec<[f64; 2]> = match given.section {
        SponsonSection::Round => {
            let angle = TAU / f64::from(SIDES);
            // `½ n sin(2π/n) R² = π r²`.
            let radius = width / 2.0 * (angle / angle.sin()).sqrt();
            let around = (0..SIDES).map(|k| (f64::from(k) + 0.5) * angle);
            around
                .map(|turn| {
                    [
                        skin + offset + radius * turn.cos(),
                        middle + radius * turn.sin(),
                    ]
                })
                .collect()
        }
        SponsonSection::Box | SponsonSection::Triangle => {
            let (low, high) = (out(middle - half)?, out(middle + half)?);
            let inner = low.min(high).min(skin) - INTO_M;
            let outer = skin + offset + width;
            let foot = match given.section {
                SponsonSection::Triangle => low + offset,
                _ => outer,
            };
            vec![
                [inner, middle - half],
                [foot, middle - half],
                [outer, middle + half],
                [inner, middle + half],
            ]
        }
    };
    Ok(flat
        .into_iter()
        .map(|[y, z]| Vec3::new(x_m, side * y, z))
        .collect())
}

/// The solid of a skeg, m; `middle_y_m` is where the hull's own middle lies.
///
/// # Errors
/// [`CannotBuild::NoBottom`] where the hull has none over it.
pub(in crate::boat) fn skeg(
    hull: &Envelope,
    given: &Skeg,
    middle_y_m: f64,
) -> Result<Surface, CannotBuild> {
    let slicer = Slicer::of(&hull.surface);
    let middle = given.off_middle.map_or(middle_y_m, |y| y.value);
    let half = given.width.value / 2.0;
    let rings = along(hull, given.ends, |x_m, measured_m| {
        let section = slicer.section(0, measured_m);
        let bottom = |y_m: f64| {
            let reach = reach(hull, &section, 1, y_m, Vector2::new(0.0, -1.0));
            reach
                .map(|down| -down)
                .ok_or(CannotBuild::NoBottom { x_m, y_m })
        };
        let at = bottom(middle)?;
        let top = at.max(bottom(middle - half)?).max(bottom(middle + half)?) + INTO_M;
        let foot = at - given.depth.value;
        let corners = [(-half, foot), (half, foot), (half, top), (-half, top)];
        Ok(corners.map(|(y, z)| Vec3::new(x_m, middle + y, z)).to_vec())
    });
    Ok(lofted(&rings?))
}

/// How far the hull's skin that faces along `way` reaches in a section where its coordinate
/// along `axis` is this, m: caps are no skin.
fn reach(
    hull: &Envelope,
    section: &Section,
    axis: usize,
    at_m: f64,
    way: Vector2<f64>,
) -> Option<f64> {
    let skin = section
        .runs()
        .filter(|(_, face)| !hull.sources[*face as usize].is_bare());
    let reaches = skin.filter_map(|([a, b], _)| {
        let (from, to) = (a[axis] - at_m, b[axis] - at_m);
        // The inside lies to a run's left.
        let outward = Vector2::new(b.z - a.z, a.y - b.y);
        if (from < 0.0) == (to < 0.0) || outward.dot(&way) <= 0.0 {
            return None;
        }
        let point = a + (b - a) * (from / (from - to));
        Some(way.x * point.y + way.y * point.z)
    });
    reaches.max_by(f64::total_cmp)
}

/// The sections of a part at its stations, by where each is and where the hull is measured for
/// it: evenly along it, and between two of them where the skin turns.
fn along(
    hull: &Envelope,
    ends: [Quantity; 2],
    ring_at: impl Fn(f64, f64) -> Result<Vec<Vec3>, CannotBuild>,
) -> Result<Vec<Vec<Vec3>>, CannotBuild> {
    let [aft, forward] = ends.map(|end| end.value);
    let measured_m = just_inside(hull, AT_END_M);
    let at = |place: usize| {
        let x_m = aft + (forward - aft) * place as f64 / (BAYS << HALVED) as f64;
        ring_at(x_m, measured_m(x_m))
    };
    let whole = 1 << HALVED;
    let mut rings = vec![at(0)?];
    for bay in 0..BAYS {
        let (from, to) = (bay * whole, (bay + 1) * whole);
        let first = rings[rings.len() - 1].clone();
        let last = at(to)?;
        between(&at, [(from, &first), (to, &last)], &mut rings)?;
        rings.push(last);
    }
    Ok(rings)
}

/// Adds the sections that are wanted between two.
fn between(
    at: &impl Fn(usize) -> Result<Vec<Vec3>, CannotBuild>,
    [(from, first), (to, last)]: [(usize, &Vec<Vec3>); 2],
    rings: &mut Vec<Vec<Vec3>>,
) -> Result<(), CannotBuild> {
    let half = usize::midpoint(from, to);
    if half == from {
        return Ok(());
    }
    let middle = at(half)?;
    let corners = middle.iter().zip(first.iter().zip(last));
    let off_m = corners.map(|(m, (a, b))| (m - (a + b) / 2.0).norm());
    if off_m.fold(0.0, f64::max) <= STRAIGHT_M {
        return Ok(());
    }
    between(at, [(from, first), (half, &middle)], rings)?;
    rings.push(middle.clone());
    between(at, [(half, &middle), (to, last)], rings)
}

/// The closed solid through sections of equally many points, all of them convex.
fn lofted(sections: &[Vec<Vec3>]) -> Surface {
    let rings: Vec<&[Vec3]> = sections.iter().map(Vec::as_slice).collect();
    solids::solid_through(&rings)
}
