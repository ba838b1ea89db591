//! equilibrium
