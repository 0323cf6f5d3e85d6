//! What happened on a lap, one record per sub-step. Readers of the tape live in
//! the room that explains; nothing is accumulated while driving.

/// What the driver and car are doing during a sub-step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Phase {
    /// Clutch slipping from rest at launch rpm.
    Launch,
    /// Clutch slipping because the road's rpm is below the lowest the driver allows.
    Held,
    /// Full throttle in gear; `Record::traction` says whether the tyres limit.
    Drive,
    /// No drive, changing gear.
    Shift,
    /// On the rev limiter, speed held.
    Limiter,
    /// On the speed the road allows: part throttle or braking.
    Line,
}

/// One sub-step: constant phase, gear and acceleration limit, inside one cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Record {
    /// Cell index.
    pub cell: u32,
    /// Speed squared at the start, m²/s².
    pub z0: f64,
    /// Speed squared at the end, m²/s².
    pub z1: f64,
    /// Length along the road, m.
    pub length: f64,
    /// Duration, s.
    pub time: f64,
    /// Gear, counted from 0; while shifting the gear that comes next.
    pub gear: u8,
    /// What is going on.
    pub phase: Phase,
    /// In `Launch`, `Held` and `Drive`: the tyres limit, not the engine.
    pub traction: bool,
    /// In `Line`: slower than rolling free, so the brakes are on.
    pub braking: bool,
}

/// Where records go. The time-only lap uses [`NoTape`], which costs nothing.
pub trait Sink {
    /// Takes one record.
    fn record(&mut self, record: Record);
    /// Forgets what was recorded: a flying lap that does not close yet is driven again.
    fn restart(&mut self);
}

/// Keeps nothing.
#[derive(Debug, Default, Clone, Copy)]
pub struct NoTape;

impl Sink for NoTape {
    #[inline(always)]
    fn record(&mut self, _: Record) {}
    #[inline(always)]
    fn restart(&mut self) {}
}

/// Keeps every record in order.
#[derive(Debug, Default, Clone, PartialEq)]
pub struct Tape {
    /// The records in driving order.
    pub records: Vec<Record>,
}

impl Sink for Tape {
    #[inline]
    fn record(&mut self, record: Record) {
        self.records.push(record);
    }
    fn restart(&mut self) {
        self.records.clear();
    }
}

impl Tape {
    /// Total time, s: the sum over the records.
    pub fn time(&self) -> f64 {
        self.records.iter().map(|r| r.time).sum()
    }
}
