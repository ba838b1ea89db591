//! What `float`, `righting` and `margins` say of hulls of many kinds, decked, closed,
//! double and lopsided ones first. Read as JSON, as those who use it do.
#[path = "../zoo/mod.rs"]
mod zoo;

mod float;
mod margins;
mod moved;
mod righting;
mod support;
mod taped;
