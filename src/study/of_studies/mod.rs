//! Studies that are made of others.
pub(super) mod comparison;
pub(super) mod first_boat;
pub(super) mod list;
pub(super) mod report;
pub(super) mod start;
