//! A knock as the speed of a drifting craft.

/// Mass of the water that a craft drifting broadside carries along, as a share of
/// its own: the speed of a given energy falls by `√(1 + share)`, and leaving the
/// water out would make a craft look as if it bore a faster drift.
///
/// A half-round section that moves sideways in still water carries exactly its own
/// mass of it (ideal fluid, the surface as a mirror: half of the `ρ π r²` of a whole
/// circle over half its area; hydrodynamics textbooks, from memory). Berthing
/// practice takes `2D/B` of draught and breadth (the virtual mass factor `1 + 2D/B`
/// of PIANC, Guidelines for the Design of Fender Systems, 2002, section 4.2.5;
/// formula from memory), which is 1 at a draught of half the breadth and less for
/// shallower hulls. Drifting ahead or astern carries far less, about a tenth. The
/// largest of these, 1, gives the lowest speed, and is taken for every craft.
pub const WATER_CARRIED_ALONG: f64 = 1.0;

/// Speed at which a craft with the water it carries along has an energy of motion,
/// m/s.
pub(super) fn drift_m_s(work_j: f64, mass_kg: f64) -> f64 {
    let moved_kg = mass_kg * (1.0 + WATER_CARRIED_ALONG);
    (2.0 * work_j.max(0.0) / moved_kg).sqrt()
}
