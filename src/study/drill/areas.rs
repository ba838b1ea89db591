//! How much skin lies in each class.
use rayon::prelude::*;

use super::{ClassAreas, Limits};
use crate::boat::{Boat, ConvexMark, FaceSource, Role};
use crate::numerics::Vec3;

/// A face that looks this squarely aft, or up, is transom, or deck (cosine: 45°).
const SQUARELY: f64 = 0.7;
/// A face that looks aft is transom in this last share of the hull's length, and
/// the after end of a deck farther forward.
const AFTER_END: f64 = 0.15;

/// Area of a convex polygon, m².
fn area_m2(polygon: &[Vec3]) -> f64 {
    let Some((first, rest)) = polygon.split_first() else {
        return 0.0;
    };
    let fan = rest
        .windows(2)
        .map(|p| (p[0] - first).cross(&(p[1] - first)));
    fan.sum::<Vec3>().norm() / 2.0
}

/// The skin of each side in each class.
pub(super) fn areas(boat: &Boat, limits: &Limits) -> Vec<ClassAreas> {
    const NAMES: [&str; 5] = [
        "port side",
        "starboard side",
        "transom",
        "deck and its ends",
        "walls of recesses",
    ];
    let surface = &boat.envelope.surface;
    let halves = [-Vec3::y(), Vec3::y()].map(|out| ConvexMark::of_faces(vec![(out, 0.0)]));
    let zero = || [[0.0_f64; 3]; 5];
    let sums = (0..boat.skin_faces)
        .into_par_iter()
        .with_min_len(1 << 10)
        .fold(zero, |mut sums, face| {
            let corners = surface.corners(face);
            let mut add = |group: usize, polygon: &[Vec3]| {
                let whole = area_m2(polygon);
                let over_never = area_m2(&limits.over_never.part_of(polygon));
                let free = area_m2(&limits.free.part_of(polygon));
                for (sum, area) in
                    sums[group]
                        .iter_mut()
                        .zip([whole - over_never, over_never - free, free])
                {
                    *sum += area;
                }
            };
            match group(boat, face) {
                Group::Sides => {
                    for (number, half) in halves.iter().enumerate() {
                        add(number, &half.part_of(&corners));
                    }
                }
                Group::Transom => add(2, &corners),
                Group::Deck => add(3, &corners),
                Group::Recess => add(4, &corners),
            }
            sums
        })
        .reduce(zero, |mut a, b| {
            for (a, b) in a.iter_mut().flatten().zip(b.iter().flatten()) {
                *a += b;
            }
            a
        });
    let rows = NAMES.into_iter().zip(sums);
    rows.map(
        |(name, [never_m2, only_if_sealed_m2, free_m2])| ClassAreas {
            name,
            never_m2,
            only_if_sealed_m2,
            free_m2,
        },
    )
    .filter(|row| row.never_m2 + row.only_if_sealed_m2 + row.free_m2 > 0.0)
    .collect()
}

pub(super) enum Group {
    Sides,
    Transom,
    Deck,
    Recess,
}

pub(super) fn group(boat: &Boat, face: usize) -> Group {
    if let FaceSource::Part(n) = boat.envelope.sources[face]
        && boat
            .parts
            .get(n as usize)
            .is_some_and(|part| part.role == Role::Recess)
    {
        return Group::Recess;
    }
    let normal = boat.envelope.surface.face_normal(face);
    let normal = normal / normal.norm().max(f64::MIN_POSITIVE);
    let corners = boat.envelope.surface.corners(face);
    let (lo, hi) = boat.hull_box_m;
    let at_the_end = corners
        .iter()
        .all(|c| c.x < lo.x + (hi.x - lo.x) * AFTER_END);
    if normal.x < -SQUARELY && at_the_end {
        Group::Transom
    } else if normal.x < -SQUARELY || normal.z > SQUARELY {
        Group::Deck
    } else {
        Group::Sides
    }
}
