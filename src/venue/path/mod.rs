//! A venue from a path: points on a map or fixes of a recording.

pub mod curvature;
pub mod geodesy;
mod smoother;
