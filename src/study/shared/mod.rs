//! What several studies share; it uses none of them.
pub(super) mod answer;
pub(super) mod attitude;
pub(super) mod cautions;
pub(super) mod deck;
pub(super) mod fills;
pub(super) mod foam_sheets;
pub(super) mod heads;
pub(super) mod hull_side;
pub(super) mod hydrostatics;
pub(super) mod named;
pub(super) mod panel;
pub(super) mod picture;
pub(super) mod planes;
pub(super) mod scan_band;
pub(super) mod yardstick;
