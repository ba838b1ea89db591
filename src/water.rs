//! Water
