//! What `float`, `righting` and `margins` say of hulls of many kinds, decked, closed,
//! double and lopsided ones first. Read as JSON, as those who use it do.
#[path = "../zoo/mod.rs"]
mod zoo;

mod afloat;
mod agree;
mod built;
mod built_pieces;
mod built_rooms;
mod built_slips;
mod calibrate;
mod float;
mod margins;
mod mirrored;
mod moved;
mod on_skin;
mod remedies;
mod righting;
mod spread;
mod support;
mod taped;
mod verdicts;
