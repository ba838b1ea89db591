//! The viewer without its window: state, changes, drawn waterline.
mod cases;
mod changes;
mod drawn;
mod inside;
mod random;
mod readings;
mod support;
