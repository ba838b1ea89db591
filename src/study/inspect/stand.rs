//! What a scan stands on where that is one skin with the hull.
use crate::mesh::{Posture, Prepared};

/// Levels at which areas are taken.
const LEVELS: usize = 100;
/// A hull's own bottom widens fast over its lowest point: up to this share of the height
/// nothing is told.
const FIRST_LEVEL: usize = 15;
/// Where a stand ends and the hull begins, the area grows by more than this factor over so
/// many levels. A hull whose area grows as the cube of the height does by less than 2.1
/// from the first level on.
const WIDENS: f64 = 2.5;
const OVER_LEVELS: usize = 4;
/// The hull begins where the area is this much larger than the stand's.
const BEGINS: f64 = 1.25;

/// How far what is narrow reaches down under the hull, m, where the hull is far wider at
/// once over it: trestles that are one skin with the hull, or a deep narrow keel.
pub(super) fn stand_under_m(prepared: &Prepared, posture: &Posture) -> Option<f64> {
    if !prepared.closed || posture.up_is_a_guess() {
        return None;
    }
    let surface = &prepared.surface;
    let up = posture.turn.inverse() * crate::numerics::Vec3::z();
    let heights = surface.vertices.iter().map(|v| up.dot(v));
    let (lo, hi) = heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), z| {
        (lo.min(z), hi.max(z))
    });
    if hi <= lo {
        return None;
    }
    // A level's area is what looks down under it less what looks up.
    let mut area_m2 = vec![0.0; LEVELS + 1];
    for face in 0..surface.faces.len() {
        let corners = surface.corners(face);
        let middle = corners.iter().map(|v| up.dot(v)).sum::<f64>() / 3.0;
        let share = (middle - lo) / (hi - lo);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a share of a few levels"
        )]
        let level = (share * LEVELS as f64).ceil() as usize;
        area_m2[level.min(LEVELS)] -= up.dot(&surface.face_normal(face)) / 2.0;
    }
    let mut sum = 0.0;
    for area in &mut area_m2 {
        sum += *area;
        *area = sum;
    }
    let top = (FIRST_LEVEL..LEVELS / 2 + FIRST_LEVEL)
        .find(|k| area_m2[*k] > 0.0 && area_m2[k + OVER_LEVELS] > WIDENS * area_m2[*k])?;
    let begins = (top..LEVELS).find(|k| area_m2[*k] > BEGINS * area_m2[top])?;
    Some((begins - 1) as f64 / LEVELS as f64 * (hi - lo))
}
