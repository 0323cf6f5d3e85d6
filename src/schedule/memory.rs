//! What a sweep writes down.

use super::labels::{Book, Label};

/// What a sweep writes down, kept from one to the next so that none asks for memory.
#[derive(Debug, Default)]
pub(super) struct Memory {
    pub(super) book: Book,
    pub(super) now: Vec<Label>,
    pub(super) stack: Vec<Label>,
    pub(super) ends: Vec<Label>,
    /// Of the best closed lap so far and of the one under way: each end of braking.
    pub(super) best: Vec<Passed>,
    pub(super) passed: Vec<Passed>,
}

/// The earliest label at an end of braking.
#[derive(Debug, Clone, Copy)]
pub(super) struct Passed {
    pub(super) done: usize,
    pub(super) time: f64,
    pub(super) level: f64,
}

impl Memory {
    /// Notes the earliest label at an end of braking; gives the most of an upshift that braking has
    /// hidden there.
    pub(super) fn passes(&mut self, done: usize) -> Option<f64> {
        let earliest = self.ends.iter().min_by(|a, b| a.time.total_cmp(&b.time))?;
        let (time, level) = (earliest.time, earliest.level);
        self.passed.push(Passed { done, time, level });
        Some(self.ends.iter().fold(level, |most, l| most.max(l.level)))
    }

    /// Whether the best closed lap so far came by the end of braking last noted by more than `closing`
    /// s earlier, with no less of an upshift hidden than `level`, and nothing else is under way.
    pub(super) fn was_passed_earlier(&self, level: f64, closing: f64) -> bool {
        // Labels still off the brakes belong to another stretch.
        let Some(now) = self.passed.last().filter(|_| self.now.is_empty()) else {
            return false;
        };
        let best = self
            .best
            .binary_search_by_key(&now.done, |passed| passed.done);
        best.is_ok_and(|i| {
            let best = &self.best[i];
            best.level >= level && best.time + closing <= now.time
        })
    }
}
