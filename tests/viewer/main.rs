//! The viewer without its window: state, changes, drawn waterline.
mod changes;
mod drawn;
mod random;
mod readings;
mod support;
