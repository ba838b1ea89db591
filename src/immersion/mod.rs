//! immersion
