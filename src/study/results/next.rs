//! What the results say of the next prediction.

use std::collections::BTreeMap;

use super::Reviewed;
use crate::dyno::{CONFIDENCE, t_quantile};

/// What the next prediction is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Next {
    /// Results that it rests on.
    pub results: usize,
    /// What a predicted time is to be multiplied by.
    pub factor: f64,
    /// Between what factors the next one lies in 95 of 100 events; `None` from one venue.
    pub between: Option<(f64, f64)>,
}

/// The mean of ln(actual/predicted), and Student's interval of one more: runs at one venue share its day and its
/// road, so their mean counts.
pub(super) fn next(events: &[Reviewed]) -> Option<Next> {
    let mut by_venue: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
    for event in events
        .iter()
        .filter(|event| event.counts() && !event.is_known)
    {
        if let Some(predicted) = event.predicted {
            let own = by_venue.entry(event.result.entry).or_default();
            own.push((event.result.time / predicted).ln());
        }
    }
    let results = by_venue.values().map(Vec::len).sum();
    let mean = |logs: &Vec<f64>| logs.iter().sum::<f64>() / logs.len() as f64;
    let logs: Vec<f64> = by_venue.values().map(mean).collect();
    let n = logs.len() as f64;
    if logs.is_empty() {
        return None;
    }
    let mean = logs.iter().sum::<f64>() / n;
    let between = (logs.len() > 1).then(|| {
        let squares: f64 = logs.iter().map(|l| (l - mean).powi(2)).sum();
        let sd = (squares / (n - 1.0)).sqrt();
        let half = t_quantile(0.5 + 0.5 * CONFIDENCE, n - 1.0) * sd * (1.0 + 1.0 / n).sqrt();
        ((mean - half).exp(), (mean + half).exp())
    });
    Some(Next {
        results,
        factor: mean.exp(),
        between,
    })
}
