//! Foam fitted to the inside.
use super::CannotBuild;
use crate::boat::envelope::{
    AreaMoment, BULKHEAD, BooleanError, Envelope, FaceSource, Joinable, Operation,
};
use crate::boat::file::{Filling, Item};
use crate::mesh::{Surface, solids};
use crate::numerics::Vec3;

/// How far past the hull a block reaches where nothing bounds it, m.
const PAST_M: f64 = 0.1;

/// The solid of a filling: what of the hull lies between its bounds, without the room of
/// items that have a size and of foam before it; and what of its surface does not lie on the
/// hull's skin.
///
/// # Errors
/// [`CannotBuild::NothingInside`] where nothing of the inside lies there.
pub(in crate::boat) fn filling(
    hull: &Joinable,
    given: &Filling,
    items: &[Item],
    foams: &[&Surface],
) -> Result<(Surface, AreaMoment), CannotBuild> {
    let (lo, hi) = hull.envelope().surface.bounds().unwrap_or_default();
    let bounded = |[low, high]: [Option<crate::quantity::Quantity>; 2], axis: usize| {
        let low = low.map_or(lo[axis] - PAST_M, |low| low.value);
        [low, high.map_or(hi[axis] + PAST_M, |high| high.value)]
    };
    let x = given.ends.map(|end| end.value);
    let (y, z) = (bounded(given.sides, 1), bounded(given.heights, 2));
    let [low, high] = [0, 1].map(|end| Vec3::new(x[end], y[end], z[end]));
    let nothing = |_: BooleanError| CannotBuild::NothingInside;
    let block = Envelope::of_part(solids::cuboid(low, high), BULKHEAD);
    let mut left = hull.combine(&block, Operation::Keep).map_err(nothing)?;
    for item in items {
        let Some((middle, half)) = item.box_m() else {
            continue;
        };
        let half = half + Vec3::repeat(given.clear.value);
        let room = Envelope::of_part(solids::cuboid(middle - half, middle + half), BULKHEAD);
        left = left.combine(&room, Operation::Cut).map_err(nothing)?;
    }
    for foam in foams {
        let there = Envelope::of_part((*foam).clone(), BULKHEAD);
        left = left.combine(&there, Operation::Cut).map_err(nothing)?;
    }
    let left = left.into_envelope();
    let areas = left.areas();
    let shows = areas
        .iter()
        .filter(|(source, _)| source.is_bare() || **source == FaceSource::Part(BULKHEAD));
    // In one order, so that the sum is the same every time.
    let mut shows: Vec<_> = shows.collect();
    shows.sort_by_key(|(source, _)| **source);
    let glassed = shows.into_iter().map(|(_, area)| *area).sum();
    Ok((left.surface.clone(), glassed))
}
