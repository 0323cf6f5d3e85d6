//! How far long work has come: on a terminal only, and only when it lasts.

use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Work that takes less shows nothing.
const PATIENCE: Duration = Duration::from_secs(1);

/// A count of steps done.
#[derive(Debug)]
pub struct Progress {
    bar: ProgressBar,
    done: AtomicU64,
    started: Instant,
}

impl Progress {
    /// Work of so many steps; shown if `terminal`.
    pub fn new(steps: u64, terminal: bool) -> Self {
        let target = if terminal {
            ProgressDrawTarget::stderr()
        } else {
            ProgressDrawTarget::hidden()
        };
        let bar = ProgressBar::with_draw_target(Some(steps), target);
        if let Ok(style) = ProgressStyle::with_template("{bar:30} {pos} of {len} draws") {
            bar.set_style(style);
        }
        Self {
            bar,
            done: AtomicU64::new(0),
            started: Instant::now(),
        }
    }

    /// One step is done.
    pub fn step(&self) {
        let done = self.done.fetch_add(1, Ordering::Relaxed) + 1;
        if self.started.elapsed() >= PATIENCE {
            self.bar.set_position(done);
        }
    }

    /// All is done: what was shown goes.
    pub fn finish(&self) {
        self.bar.finish_and_clear();
    }
}
