//! The viewer without its window: state, changes, drawn waterline.
mod changes;
mod conditions;
mod drawn;
mod hand;
mod inside;
mod random;
mod readings;
mod scan;
mod support;
mod times;
#[path = "../zoo/mod.rs"]
mod zoo;
