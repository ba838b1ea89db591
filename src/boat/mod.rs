//! boat
