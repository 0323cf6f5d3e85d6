//! What must hold whatever the numbers: identities, counts, orders.

mod demo_tracks;
mod laps;
mod logs;
mod recordings;

#[path = "../../examples/support/recorder.rs"]
mod recorder;
