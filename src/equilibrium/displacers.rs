//! What holds the craft up: a short list of signed bodies.
use std::sync::Arc;

use crate::immersion::{Immersion, MomentTree, WaterPlane};
use crate::numerics::Vec3;

/// Signed bodies whose immersed volumes add up to the displaced volume. Dry,
/// swamped and dived craft differ only in this list.
#[derive(Debug, Clone, Default)]
pub struct Displacers {
    terms: Vec<(f64, Arc<MomentTree>)>,
}

impl Displacers {
    /// One body that displaces all it encloses.
    #[must_use]
    pub fn envelope(tree: Arc<MomentTree>) -> Self {
        Self {
            terms: vec![(1.0, tree)],
        }
    }

    /// Adds a body times a signed factor (−permeability for flooded space).
    pub fn push(&mut self, factor: f64, tree: Arc<MomentTree>) {
        self.terms.push((factor, tree));
    }

    /// Adds all of another list: foam in a space that was lost.
    pub fn add_all(&mut self, more: &Self) {
        self.terms.extend(more.terms.iter().cloned());
    }

    /// Takes all of another list away: space lost to the sea.
    pub fn take_away(&mut self, lost: &Self) {
        let terms = lost.terms.iter();
        self.terms
            .extend(terms.map(|(factor, tree)| (-factor, Arc::clone(tree))));
    }

    /// Everything under the plane, summed: one kernel call a term.
    #[must_use]
    pub fn immerse(&self, plane: &WaterPlane) -> Immersion {
        let mut total = Immersion::nothing(*plane, self.reference_m());
        for (factor, tree) in &self.terms {
            total.add(*factor, &tree.immerse(plane));
        }
        total
    }

    /// Volume of the whole of every body, summed, as if far under water, m³.
    #[must_use]
    pub fn volume_m3(&self) -> f64 {
        let volumes = self.terms.iter().map(|(f, tree)| f * tree.volume_m3());
        volumes.sum()
    }

    /// How far the bodies' boxes reach along a direction: least and greatest,
    /// m. At least as wide as the bodies; `None` with no body.
    #[must_use]
    pub fn reach_m(&self, direction: &Vec3) -> Option<(f64, f64)> {
        self.terms
            .iter()
            .filter_map(|(_, tree)| tree.reach_m(direction))
            .reduce(|(low, high), (l, h)| (low.min(l), high.max(h)))
    }

    /// The lowest point when `up` is the world's vertical, m.
    #[must_use]
    pub fn lowest_m(&self, up: &Vec3) -> Option<Vec3> {
        self.terms
            .iter()
            .filter_map(|(_, tree)| tree.extreme(&-up))
            .min_by(|a, b| up.dot(a).total_cmp(&up.dot(b)))
    }

    /// The point that sums are taken about, boat frame, m.
    #[must_use]
    pub fn reference_m(&self) -> Vec3 {
        self.terms
            .first()
            .map_or_else(Vec3::zeros, |(_, tree)| tree.reference_m())
    }
}
