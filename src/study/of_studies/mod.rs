//! Studies that are made of others.
pub(super) mod comparison;
pub(super) mod list;
pub(super) mod report;
