//! Small numerical tools shared by every layer.

/// A point or direction in the boat frame (x forward, y to port, z up), in
/// metres where it is a point.
pub type Vec3 = nalgebra::Vector3<f64>;
