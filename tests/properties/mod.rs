//! What must hold whatever the numbers: identities, counts, orders.

mod batch;
mod clicked;
mod convergence;
mod curves;
mod cuts;
mod demo_tracks;
mod energy;
mod forces;
mod known_times;
mod laps;
mod logs;
mod orders;
mod recordings;
mod scaling;
mod scattered;
mod schedule_brute;
mod schedule_odd;
mod schedule_scan;
mod shares;
mod sketches;
mod steps;
mod studies;
mod testdays;
mod tyres;
mod worth;

#[path = "../../examples/support/recorder.rs"]
mod recorder;
