//! What must hold whatever the numbers: identities, counts, orders.

mod demo_tracks;
mod laps;
