//! What holds the craft up: a short list of signed bodies.
use std::sync::Arc;

use super::air::KeptAir;
use crate::immersion::{Immersion, MomentTree, WaterPlane};
use crate::numerics::Vec3;

/// Signed bodies whose immersed volumes add up to the displaced volume. Dry,
/// swamped and dived craft differ only in this list.
#[derive(Debug, Clone, Default)]
pub struct Displacers {
    terms: Vec<(f64, Arc<MomentTree>)>,
    /// Rooms among them that keep air above water that stands at the plane outside, with
    /// the sign of that water.
    airs: Vec<(f64, KeptAir)>,
}

impl Displacers {
    /// One body that displaces all it encloses.
    #[must_use]
    pub fn envelope(tree: Arc<MomentTree>) -> Self {
        Self {
            terms: vec![(1.0, tree)],
            airs: Vec::new(),
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

    /// Takes a room away that is open to the sea but keeps its air.
    pub fn keep_air(&mut self, room: KeptAir) {
        self.airs.push((-1.0, room));
    }

    /// Adds the water of a room that keeps air: room for a liquid that shuts it in.
    pub fn under_air(&mut self, room: KeptAir) {
        self.airs.push((1.0, room));
    }

    /// Whether another list displaces the same under every plane: the same shares of the
    /// same bodies, or of bodies that nothing known of them whole tells apart.
    #[must_use]
    pub fn is_like(&self, other: &Self) -> bool {
        let known = |tree: &MomentTree| (tree.triangles(), tree.volume_m3(), tree.reference_m());
        let mut both = self.terms.iter().zip(&other.terms);
        self.terms.len() == other.terms.len()
            && self.airs.is_empty()
            && other.airs.is_empty()
            && both.all(|((share, tree), (other_share, other))| {
                share == other_share && (Arc::ptr_eq(tree, other) || known(tree) == known(other))
            })
    }

    /// Whether any room keeps air.
    #[must_use]
    pub fn keeps_air(&self) -> bool {
        !self.airs.is_empty()
    }

    /// Everything under the plane, summed: one kernel call a term, some ten a room
    /// that keeps air. The surface of such a room counts as far as its air lets it
    /// follow the sea.
    #[must_use]
    pub fn immerse(&self, plane: &WaterPlane) -> Immersion {
        self.immerse_with_air(plane).0
    }

    /// The same, and the energy that is stored in air kept, m⁴.
    pub(super) fn immerse_with_air(&self, plane: &WaterPlane) -> (Immersion, f64) {
        let mut total = Immersion::nothing(*plane, self.reference_m());
        for (factor, tree) in &self.terms {
            total.add(*factor, &tree.immerse(plane));
        }
        let mut energy_m4 = 0.0;
        for (sign, room) in &self.airs {
            let (water, stored_m4) = room.water(plane);
            total.add(*sign, &water);
            energy_m4 += stored_m4;
        }
        (total, energy_m4)
    }

    /// Volume of the whole of every body, summed, as if far under water, but for air
    /// kept, which is taken at the pressure of the atmosphere, m³.
    #[must_use]
    pub fn volume_m3(&self) -> f64 {
        let volumes = self.terms.iter().map(|(f, tree)| f * tree.volume_m3());
        let airs = self.airs.iter();
        let water = airs.map(|(sign, room)| sign * room.water_at_most_m3());
        volumes.sum::<f64>() + water.sum::<f64>()
    }

    /// How far the bodies' boxes reach along a direction: least and greatest,
    /// m. At least as wide as the bodies; `None` with no body.
    #[must_use]
    pub fn reach_m(&self, direction: &Vec3) -> Option<(f64, f64)> {
        let terms = self.terms.iter();
        let terms = terms.filter_map(|(_, tree)| tree.reach_m(direction));
        let airs = self.airs.iter();
        let airs = airs.filter_map(|(_, room)| room.reach_m(direction));
        terms
            .chain(airs)
            .reduce(|(low, high), (l, h)| (low.min(l), high.max(h)))
    }

    /// The longest side of the box round the bodies, m.
    #[must_use]
    pub fn size_m(&self) -> f64 {
        [Vec3::x(), Vec3::y(), Vec3::z()]
            .iter()
            .filter_map(|axis| self.reach_m(axis))
            .map(|(low, high)| high - low)
            .fold(f64::MIN_POSITIVE, f64::max)
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
