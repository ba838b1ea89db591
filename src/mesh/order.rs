//! Facets that lie in a file in no order, put in order of their places: what follows
//! each other is then near each other in memory too, which all that comes after lives by.
use rayon::prelude::*;

use super::doubt::id;
use super::face_tree::morton;
use crate::numerics::Vec3;

/// Fewer facets than these fit the processor's caches in any order.
const FEWEST: usize = 1 << 17;
/// Facets asked how far the next one lies.
const ASKED: usize = 1000;
/// Next facets further off than so many of their sizes are no neighbours, and there is
/// no order where more than half of those asked are not.
const FAR_SIZES: f32 = 100.0;

/// Numbers of facets in order of place; `None` where they are few, or follow each other
/// in their own order. `corners` gives those of a facet.
pub(super) fn order_of_place(
    count: usize,
    corners: impl Fn(usize) -> [[f32; 3]; 3] + Sync,
) -> Option<Vec<u32>> {
    if count < FEWEST {
        return None;
    }
    let distance = |a: [f32; 3], b: [f32; 3]| {
        let squares = [0, 1, 2].map(|k| (a[k] - b[k]) * (a[k] - b[k]));
        squares.iter().sum::<f32>().sqrt()
    };
    let is_far = |facet: &usize| {
        let ([a, b, c], [next, ..]) = (corners(*facet), corners(*facet + 1));
        let size = distance(a, b).max(distance(b, c)).max(distance(c, a));
        distance(a, next) > FAR_SIZES * size
    };
    let asked = (0..count - 1).step_by(count / ASKED);
    let (all, far) = (asked.len(), asked.filter(is_far).count());
    if 2 * far <= all {
        return None;
    }
    let place = |facet: usize| Vec3::from(corners(facet)[0].map(f64::from));
    let empty = [Vec3::repeat(f64::INFINITY), Vec3::repeat(f64::NEG_INFINITY)];
    let [lo, hi] = (0..count)
        .into_par_iter()
        .with_min_len(1 << 12)
        .map(place)
        .filter(|place| place.iter().all(|x| x.is_finite()))
        .fold(|| empty, |[lo, hi], p| [lo.inf(&p), hi.sup(&p)])
        .reduce(|| empty, |a, b| [a[0].inf(&b[0]), a[1].sup(&b[1])]);
    let size = (hi - lo).max().max(f64::MIN_POSITIVE);
    // The place in the upper half, the facet in the lower.
    let mut keyed: Vec<u64> = (0..count)
        .into_par_iter()
        .with_min_len(1 << 12)
        .map(|facet| {
            let along = morton(&((place(facet) - lo) / size)) >> 31;
            along << 32 | u64::from(id(facet))
        })
        .collect();
    keyed.par_sort_unstable();
    #[expect(clippy::cast_possible_truncation, reason = "the lower half")]
    let order = keyed.into_par_iter().map(|key| key as u32).collect();
    Some(order)
}
