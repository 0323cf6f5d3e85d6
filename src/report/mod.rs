//! Tables, JSON, CSV, charts and pages; computes no physics.
